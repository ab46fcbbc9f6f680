"""Will it go? Enthalpy, entropy and Gibbs energy of a reduction over temperature."""

from potash import routes
from potash.panels.chapter_3 import terms
from potash.panels.chapter_3.curves import EnergyPicture
from potash.panels.frame import controls
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.reactions import DOWNHILL, UNDECIDED, UPHILL, Explanation, Reaction
from potash.units import Quantity, quantity, show
from potash.words import tr

WORKING_TEMPERATURE = quantity("473 K")
ROOM = quantity("298.15 K")
LOWEST, HIGHEST = 298.15, 1300.0

_VERDICTS = (DOWNHILL, UPHILL, UNDECIDED)
_NO_RATE = tr(
    "Downhill says that the reaction may go, not that it does. Rate, surface, catalyst and the "
    "oxide that crusts over the reductant decide that, and no Gibbs energy knows them."
)
# Common practice, no source.
_SODIUM = tr(
    "Here thermodynamics and kinetics part. Sodium is widely reported as reluctant by the "
    "catalysed hydroxide route, although its Gibbs energy is about as favourable as potassium's. "
    "The difference is one of rate; the curve above cannot show it."
)
_STANDARD_STATE = tr(
    "The curve holds for pure substances, and gases at 1 bar. A metal whose vapour is carried "
    "away as it forms can be won although the standard Gibbs energy points uphill; that is "
    "distillation at work, not a kinder Gibbs energy."
)


@in_words(tr("Will it go?"))
def energy() -> Shell:
    """A metal, its compound, a reductant and a temperature; the energies that follow."""
    return EnergyPanel().shell


class EnergyPanel:
    """Choose a reduction, predict its direction, then follow its energies over temperature."""

    def __init__(self) -> None:
        self.shell = Shell(
            tr("Will it go?"),
            tr("Choose a reduction, commit yourself, then move the temperature."),
        )
        metals = [(f"{name} ({symbol})", symbol) for symbol, name in routes.METALS.items()]
        reductants = [
            (f"{one.name} ({symbol})", symbol) for symbol, one in routes.REDUCTANTS.items()
        ]
        self.metal = controls.choice(tr("Metal to make"), metals, "K")
        self.source = controls.choice(tr("Made from its"), routes.SOURCES, "hydroxide")
        self.reductant = controls.choice(tr("Reductant"), reductants, "Mg")
        self.temperature = controls.slider(
            tr("Temperature, K"), WORKING_TEMPERATURE.m_as("K"), 298, HIGHEST, 1, ".0f"
        )
        self.equation = controls.html(height="34px")
        self.picture_place = controls.html()
        self.numbers = controls.html()
        self.reaction: Reaction | None = None
        self.picture: EnergyPicture | None = None
        self.asked_at = WORKING_TEMPERATURE
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.options(tr("Your prediction"), _VERDICTS),
            result=self._verdict_in_words,
            revealed=self._show,
        )
        self.results = controls.column(self.temperature, self.picture_place, self.numbers)
        self._lay_out()
        self.shell.guarded(self.choose)()

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(self.metal, self.source, self.reductant),
            self.equation,
            self.shell.message,
            self.prediction.box,
            self.results,
        )
        for choice in (self.metal, self.source, self.reductant):
            choice.observe(self.shell.guarded(self.choose), "value")
        self.temperature.observe(self.shell.guarded(self._draw), "value")

    def choose(self) -> None:
        """Turn to the chosen reduction; where data are missing, say which."""
        self.shell.say("")
        controls.shown(self.prediction.box, False)
        controls.shown(self.results, False)
        self.equation.value = ""
        reaction = routes.reduction(self.metal.value, self.source.value, self.reductant.value)
        self.equation.value = f'<p class="potash-equation">{reaction.equation.html}</p>'
        self.reaction, self.picture = None, None
        self.asked_at = _temperature_to_ask_at(reaction)
        self.reaction = reaction
        controls.shown(self.prediction.box, True)
        self.prediction.about(f"direction: {reaction} at {show(self.asked_at)}", self._question())

    def _question(self) -> str:
        return tr(
            "At {asked_at}, as written and with pure substances: does this reduction run "
            "downhill, uphill, or is it too close to call?",
            asked_at=show(self.asked_at),
        )

    def _verdict_in_words(self) -> str:
        assert self.reaction is not None
        energy = show(self.reaction.gibbs_energy(self.asked_at))
        return tr(
            "{verdict}, ΔG = {energy} at {asked_at}",
            verdict=tr(self.reaction.verdict(self.asked_at)),
            energy=energy,
            asked_at=show(self.asked_at),
        )

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if not self.prediction.is_open:
            self.shell.keep(
                self.equation.value, tr("{reaction}: no prediction yet.", reaction=self.reaction)
            )
        if self.prediction.is_open and self.reaction is not None:
            if self.picture is None:
                self.picture = EnergyPicture(self.reaction, self.metal.value, LOWEST, HIGHEST)
                self._limit_temperature(self.picture)
            self._draw()

    def _limit_temperature(self, picture: EnergyPicture) -> None:
        """Let the slider go where there are data; a single temperature needs no slider."""
        controls.shown(self.temperature, picture.is_a_curve)
        self.temperature.max = int(picture.highest)
        if not picture.is_a_curve:
            self.temperature.value = self.asked_at.m_as("K")

    def _draw(self) -> None:
        if self.picture is None or self.reaction is None:
            return
        T = Quantity(self.temperature.value, "K")
        explained = self.reaction.explain(max(T, ROOM))
        shown = self.picture.to_html(explained)
        self.picture_place.value = shown
        self.numbers.value = terms.told(explained, self._remarks(explained))
        self.shell.keep(
            f'<p class="potash-equation">{self.reaction.equation.html}</p>{shown}'
            + self.numbers.value,
            str(explained),
        )

    def _remarks(self, explained: Explanation) -> list[str]:
        remarks = list(explained.notes)
        if self.picture is not None:
            remarks += self.picture.gaps
        if self.metal.value == "Na" and self.source.value == "hydroxide":
            remarks.append(_SODIUM)
        remarks.append(_NO_RATE if explained.verdict == DOWNHILL else _STANDARD_STATE)
        return remarks


def _temperature_to_ask_at(reaction: Reaction) -> Quantity:
    """The working temperature, or room temperature where the data reach no further.

    Raises: NoTrustedValue, naming what has no data.
    """
    _, highest = reaction.valid
    return WORKING_TEMPERATURE if highest >= WORKING_TEMPERATURE else ROOM
