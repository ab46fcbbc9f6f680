"""Report an honest yield: gas, titration, purity, yield and balance, each with its uncertainty."""

from collections.abc import Callable, Mapping
from typing import Any

from potash.panels.chapter_9.budget_pictures import budget_picture
from potash.panels.frame import controls, look
from potash.panels.frame.current import current_preparation
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Card, Shell, in_words
from potash.preparation import Preparation
from potash.units import show, show_unit
from potash.words import tr
from potash.workspace import Workspace
from potash.yields import (
    MassBalance,
    Result,
    back_titration,
    gas_volumetry,
    mass_balance,
)
from potash.yields import (
    honest_yield as yield_of,
)

WHAT_IF = "yield: what the uncertainty comes from"
INVENTED = tr(
    "The readings that stand here at first are invented; they are there to be typed over with "
    "yours."
)
_SEALS = ("water", "2-propanol", "ethanol", "methanol", "none")

Pair = tuple[str, str]


@in_words(tr("Report an honest yield"))
def honest_yield() -> Shell:
    """Purity by gas and by titration, the yield, and where the metal went."""
    return YieldPanel(current_preparation(Workspace.find())).shell


class YieldPanel:
    """Three cards: gas volumetry, back-titration, and yield with its mass balance."""

    def __init__(self, preparation: Preparation) -> None:
        self.shell = Shell(tr("Report an honest yield"), INVENTED)
        self.gas = GasCard(preparation.metal)
        self.titration = TitrationCard(preparation.metal)
        self.balance = BalanceCard(preparation)
        self.cards = (self.gas, self.titration, self.balance)
        for card in self.cards:
            card.changed = self._keep
        self.prediction = PredictFirst(
            self.shell,
            tr(
                "Read the readings and their uncertainties in the gas card. Which of them will "
                "the uncertainty of the purity mostly come from?"
            ),
            controls.options(
                tr("Your prediction"),
                (tr("gas volume"), tr("gas temperature"), tr("barometer"), tr("leak test")),
            ),
            result=_mostly_from,
            revealed=self.draw,
        )
        self.results = controls.column(self.titration.box, self.balance.box)
        self.shell.fill(self.gas.box, self.prediction.box, self.results)
        self.prediction.about(WHAT_IF)

    def draw(self) -> None:
        """The results of all three cards, once a prediction is kept."""
        controls.shown(self.results, self.prediction.is_open)
        for card in self.cards:
            card.is_open = self.prediction.is_open
            card.guarded(card.draw)()
        self._keep()

    def _keep(self) -> None:
        if not self.prediction.is_open:
            self.shell.keep(look.note(tr("No prediction yet.")), tr("No prediction yet."))
            return
        self.shell.keep(
            "".join(card.shown.value for card in self.cards),
            "\n".join(card.words for card in self.cards),
        )


class MeasurementCard(Card):
    """Pairs of fields, a value and its standard uncertainty, and what they amount to."""

    def __init__(self, title: str, pairs: Mapping[str, tuple[str, str, str]]) -> None:
        super().__init__(title)
        self.fields = {
            name: (
                controls.text(label, value, width="220px"),
                controls.text(f"± {label}", spread, width="220px"),
            )
            for name, (label, value, spread) in pairs.items()
        }
        self.extra: tuple[Any, ...] = ()
        self.shown = controls.html()
        self.words = ""
        self.is_open = False
        self.changed: Callable[[], None] = _nothing

    def lay_out(self) -> None:
        """Put the fields into the card and follow them."""
        rows = [controls.row(*pair) for pair in self.fields.values()]
        singles = [field for pair in self.fields.values() for field in pair]
        for field in (*singles, *self.extra):
            field.observe(self.guarded(self._changed), "value")
        self.fill(*rows, controls.row(*self.extra), self.message, self.shown)

    def pair(self, name: str) -> Pair:
        """Value and uncertainty as typed."""
        value, spread = self.fields[name]
        return value.value, spread.value

    def pairs(self) -> dict[str, Pair]:
        """All of them by name."""
        return {name: self.pair(name) for name in self.fields}

    def draw(self) -> None:
        """What the readings amount to; nothing before a prediction is kept."""
        if not self.is_open:
            self.shown.value = ""
            return
        with controls.emptied_on_error(self.shown):
            self.shown.value, self.words = self.calculate()
        self.say("")

    def calculate(self) -> tuple[str, str]:
        """HTML and plain text of the result."""
        raise NotImplementedError

    def _changed(self) -> None:
        self.draw()
        self.changed()


class GasCard(MeasurementCard):
    """Metal by the hydrogen that a sample gives."""

    def __init__(self, metal: str) -> None:
        super().__init__(
            tr("Gas volumetry: what is metal"),
            {
                "sample": (tr("Sample"), "0.2000 g", "0.2 mg"),
                "volume": (tr("Gas volume"), "58.4 mL", "0.2 mL"),
                "temperature": (tr("Temperature of the gas"), "21.5 °C", "0.3 K"),
                "barometer": (tr("Barometer"), "1003 hPa", "1 hPa"),
                "level": (tr("Level, higher inside"), "12 mm", "1 mm"),
                "leak": (tr("Leak test"), "0.3 mL", "0.2 mL"),
            },
        )
        self.metal = metal
        self.over = controls.choice(tr("Collected over"), _SEALS, "water")
        self.extra = (self.over,)
        self.lay_out()

    def calculate(self) -> tuple[str, str]:
        readings: dict[str, Any] = self.pairs()
        found = gas_volumetry(metal=self.metal, over=self.over.value, **readings)
        vapour, pressure = show(found.vapour_pressure), show(found.gas_pressure, 4)
        numbers = look.key_numbers(
            Number(tr("hydrogen"), found.hydrogen.shown, "hydrogen by gas volumetry"),
            Number(tr("purity, metal only"), found.purity.shown, "purity by gas volumetry"),
            Number(tr("vapour pressure taken off"), vapour, "vapour pressure of the seal liquid"),
            Number(tr("pressure of the hydrogen"), pressure, "pressure of dry hydrogen"),
        )
        notes = "".join(look.note(note) for note in found.notes)
        return (
            numbers + notes + _budget(found.purity),
            tr("Purity by gas volumetry {purity}", purity=found.purity.shown),
        )


class TitrationCard(MeasurementCard):
    """Metal, oxide and hydroxide together by back-titration."""

    def __init__(self, metal: str) -> None:
        super().__init__(
            tr("Back-titration: what is alkali"),
            {
                "sample": (tr("Sample"), "0.2000 g", "0.2 mg"),
                "acid_volume": (tr("Acid put in"), "100.00 mL", "0.06 mL"),
                "acid_concentration": (tr("Its concentration"), "0.1000 mol/L", "0.0001 mol/L"),
                "titre": (tr("Titre of base"), "50.90 mL", "0.03 mL"),
                "base_concentration": (tr("Concentration of base"), "0.1000 mol/L", "0.0001 mol/L"),
            },
        )
        self.metal = metal
        self.burette = controls.text(tr("The burette holds"), "100 mL", width="170px")
        self.extra = (self.burette,)
        self.lay_out()

    def calculate(self) -> tuple[str, str]:
        found = back_titration(metal=self.metal, burette=self.burette.value, **self.pairs())
        numbers = look.key_numbers(
            Number(tr("alkali"), found.alkali.shown, "alkali by back-titration"),
            Number(tr("purity, all alkali"), found.purity.shown, "purity by back-titration"),
        )
        notes = "".join(look.note(note) for note in found.notes)
        return (
            numbers + notes + _budget(found.purity),
            tr("Purity by back-titration {purity}", purity=found.purity.shown),
        )


class BalanceCard(MeasurementCard):
    """The yield, and where the metal of the charge went."""

    def __init__(self, preparation: Preparation) -> None:
        theoretical = preparation.charge().theoretical_yield
        super().__init__(
            tr("Yield of {metal} and mass balance", metal=preparation.metal),
            {
                "theoretical": (tr("Theoretical yield"), show(theoretical), "0.03 g"),
                "isolated": (tr("Isolated mass"), "3.21 g", "0.01 g"),
                "purity": (tr("Purity of it"), "92.0 %", "0.6 %"),
                "residues": (tr("Metal in the residues"), "2.40 g", "0.10 g"),
                "losses": (tr("Metal on glass and stirrer"), "0.10 g", "0.05 g"),
            },
        )
        self.lay_out()

    def calculate(self) -> tuple[str, str]:
        made = yield_of(
            isolated=self.pair("isolated"),
            purity=self.pair("purity"),
            theoretical=self.pair("theoretical"),
        )
        balance = self._balance()
        rows = [(name, f"{share:.1f} %") for name, share in balance.shares]
        rows.append((tr("unaccounted for"), balance.unaccounted.shown))
        caption = tr("Where the metal of the charge went")
        html = (
            look.key_numbers(Number(tr("yield"), made.shown, "honest yield"))
            + look.note(balance.verdict)
            + look.table(caption, (tr("Where"), tr("Share")), rows, origins=["mass balance"])
            + _budget(made)
        )
        return html, tr("Yield {made}. {verdict}", made=made.shown, verdict=balance.verdict)

    def _balance(self) -> MassBalance:
        pure = yield_of(
            isolated=self.pair("isolated"), purity=self.pair("purity"), theoretical=("100 g", "0 g")
        )
        return mass_balance(
            self.pair("theoretical"),
            {
                tr("isolated, pure"): (f"{pure.value} g", f"{pure.uncertainty} g"),
                tr("residues"): self.pair("residues"),
                tr("glass and stirrer"): self.pair("losses"),
            },
        )


def _budget(found: Result) -> str:
    rows = [
        (one.name, f"{one.contribution:.2g}", f"{100 * one.share:.0f} %") for one in found.budget
    ]
    table = look.table(
        f"{found.name}: {found.shown}",
        (
            tr("Input"),
            tr("Contribution, {show_unit}", show_unit=show_unit(found.unit) or "1"),
            tr("Share of variance"),
        ),
        rows,
        origins=["uncertainty budget"],
    )
    return budget_picture(found) + look.folded(tr("The budget in figures"), table)


def _mostly_from() -> str:
    readings: dict[str, Any] = GasCard("K").pairs()
    found = gas_volumetry(metal="K", **readings).purity
    shares = ", ".join(f"{one.name} {100 * one.share:.0f} %" for one in found.budget[:3])
    return tr("{shares} of the variance", shares=shares)


def _nothing() -> None:
    """What a card calls before a panel holds it."""
