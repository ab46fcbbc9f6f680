"""What leaves a retort? Equilibrium amounts of a charge, and how vacuum changes them."""

import math
from dataclasses import dataclass

import numpy as np

from potash import retorts
from potash.panels.chapter_3.equilibrium_pictures import (
    AmountsPicture,
    VapourPicture,
    shown_species,
    told,
)
from potash.panels.frame import controls, look
from potash.panels.frame.ahead import WorkedAhead
from potash.panels.frame.look import Number
from potash.panels.frame.predicting import PredictFirst
from potash.panels.frame.shell import Shell, in_words
from potash.retorts import AmountsOver, RetortCharge, VapourCurve
from potash.units import Quantity, quantity, show
from potash.words import tr

_TITLE = tr("What leaves the retort?")
_OVER_T, _OVER_P = tr("temperature"), tr("pressure")
_SHARE = 0.1
_PER_DECADE = 5
_DECADES = 6
_KELVIN_STEP = 25.0
_ASKED_AT = 1.0  # bar
_COLUMNS = 6
_ABOUT = tr(
    "Equilibrium amounts: pure condensed phases and an ideal gas, nothing carried away. The "
    "uncertainty of the Gibbs energies, about 5 kJ, makes a temperature uncertain by some 20 K "
    "and a pressure by a factor of about 1.7 at 1100 K."
)


@dataclass(frozen=True, slots=True)
class _View:
    """What is kept of one charge and one kind of sweep."""

    ahead: WorkedAhead[AmountsOver]
    amounts: AmountsPicture
    curve: VapourCurve
    vapour: VapourPicture


@in_words(_TITLE)
def equilibrium() -> Shell:
    """A charge, swept over temperature or pressure; how much of its metal leaves as vapour."""
    return RetortPanel().shell


class RetortPanel:
    """Predict where the metal leaves as vapour, then let the pressure down."""

    def __init__(self) -> None:
        self.shell = Shell(
            _TITLE,
            tr(
                "A charge in a closed retort, at equilibrium. Sweep over temperature and let the "
                "pressure down with the slider; or sweep over pressure and heat with it."
            ),
        )
        names = [charge.name for charge in retorts.retort_charges()]
        self.charge_choice = controls.choice(tr("Charge"), names, names[2], width="300px")
        self.over = controls.choice(tr("Sweep over"), (_OVER_T, _OVER_P), _OVER_T)
        self.pressure = controls.decades(tr("Pressure, bar"), -_DECADES, 0, _PER_DECADE)
        self.temperature = controls.slider(
            tr("Temperature, K"), 1100, 900, 1600, _KELVIN_STEP, ".0f"
        )
        self.shown = controls.html()
        self.views: dict[tuple[str, str], _View] = {}
        self.view: _View | None = None
        self.prediction = PredictFirst(
            self.shell,
            "",
            controls.text(tr("Your prediction, a temperature with its unit"), placeholder="900 °C"),
            result=self._result,
            revealed=self._show,
            checked=_require_temperature,
        )
        self.results = controls.column(
            self.over, self.pressure, self.temperature, self.shown,
        )  # fmt: skip
        self._lay_out()
        self.shell.guarded(self.choose)()

    def _lay_out(self) -> None:
        self.shell.fill(
            controls.row(self.charge_choice),
            self.shell.message,
            self.prediction.box,
            self.results,
        )
        self.charge_choice.observe(self.shell.guarded(self.choose), "value")
        self.over.observe(self.shell.guarded(self._begin), "value")
        for slider in (self.pressure, self.temperature):
            slider.observe(self.shell.guarded(self._draw), "value")

    @property
    def charge(self) -> RetortCharge:
        """The chosen charge."""
        return retorts.retort_charge(self.charge_choice.value)

    def choose(self) -> None:
        """Turn to another charge; ask about it first."""
        self.shell.say("")
        what_if = f"retort: {self.charge.name} at {_ASKED_AT:g} bar"
        self.prediction.about(what_if, self._question())

    def _question(self) -> str:
        charge = self.charge
        return tr(
            "{charge}, heated at {pressure:g} bar: from which temperature on is a tenth of "
            "the {name} free vapour? If you think nowhere up to {highest:.0f} K, name a higher "
            "temperature.",
            charge=str(charge),
            pressure=_ASKED_AT,
            name=_name(charge.metal),
            highest=charge.highest,
        )

    def _result(self) -> str:
        swept = retorts.amounts_over_temperature(self.charge, Quantity(_ASKED_AT, "bar"))
        return _reached(swept)

    # ------------------------------------------------------------------ showing

    def _show(self) -> None:
        controls.shown(self.results, self.prediction.is_open)
        if self.prediction.is_open:
            self._begin()
        else:
            self.shell.keep(
                look.note(self._question()),
                tr("{question} No prediction yet.", question=self._question()),
            )

    def _begin(self) -> None:
        """Turn to this charge and this kind of sweep; what was drawn before is kept."""
        if not self.prediction.is_open:
            return
        charge, over_T = self.charge, self.over.value == _OVER_T
        controls.shown(self.pressure, over_T)
        controls.shown(self.temperature, not over_T)
        if self.view is not None:
            self.view.ahead.stop()
        self.view = None
        self._limit_temperature()
        key = (charge.name, self.over.value)
        if key not in self.views:
            self.views[key] = self._new_view()
        self.view = self.views[key]
        self._draw()

    def _new_view(self) -> "_View":
        charge = self.charge
        ahead = WorkedAhead(self._work, self._position_count())
        last = self._position_count() - 1
        sweeps = [ahead.at(position) for position in (0, last // 2, last)]
        curve = retorts.vapour_curve(charge)
        vapour = VapourPicture(curve, charge.metal, charge.lowest, charge.highest)
        return _View(ahead, AmountsPicture(sweeps), curve, vapour)

    def _limit_temperature(self) -> None:
        """Let the slider go over the range of this charge, its lower end never above its upper."""
        low, high = self.charge.lowest, self.charge.highest
        self.temperature.max = max(high, self.temperature.max)
        self.temperature.min = low
        self.temperature.max = high

    def _position_count(self) -> int:
        if self.over.value == _OVER_T:
            return _DECADES * _PER_DECADE + 1
        return int((self.charge.highest - self.charge.lowest) / _KELVIN_STEP) + 1

    def _position(self) -> int:
        if self.over.value == _OVER_T:
            decades_up: float = math.log10(self.pressure.value) + _DECADES
            return min(max(round(decades_up * _PER_DECADE), 0), _DECADES * _PER_DECADE)
        return int((float(self.temperature.value) - self.charge.lowest) / _KELVIN_STEP)

    def _work(self, position: int) -> AmountsOver:
        if self.over.value == _OVER_T:
            p = 10.0 ** (position / _PER_DECADE - _DECADES)
            return retorts.amounts_over_temperature(self.charge, Quantity(p, "bar"))
        T = self.charge.lowest + position * _KELVIN_STEP
        return retorts.amounts_over_pressure(self.charge, Quantity(T, "K"))

    def _draw(self) -> None:
        if self.view is None:
            return
        swept = self.view.ahead.at(self._position())
        words = _in_words(swept)
        shown = self.view.amounts.to_html(swept, swept.reaches_si(_SHARE), words)
        over_T = self.over.value == _OVER_T
        p = float(swept.pressure.m_as("bar")[0]) if over_T else None
        T = None if over_T else float(swept.temperature.m_as("K")[0])
        told = _vapour_in_words(self.view.curve, swept.charge)
        vapour = self.view.vapour.to_html(p, T, told)
        self.shown.value = shown + vapour + _told(swept, self.view.curve)
        self.shell.keep(self.shown.value, words)


# ---------------------------------------------------------------------- in words


def _require_temperature(typed: str) -> None:
    quantity(typed, "temperature")


def _name(metal: str) -> str:
    from potash.routes import METALS

    return {**METALS, "Mg": tr("magnesium")}[metal]


def _fixed(swept: AmountsOver) -> str:
    """What the slider holds: the pressure, or the temperature."""
    if _over_temperature(swept):
        return show(swept.pressure[0], 2)
    return show(swept.temperature[0], 4)


def _over_temperature(swept: AmountsOver) -> bool:
    return bool(np.ptp(swept.temperature.m_as("K")) > 0)


def _reached(swept: AmountsOver) -> str:
    """Where a tenth of the metal is vapour, to the figures that the data bear."""
    found = swept.reaches_si(_SHARE)
    if _over_temperature(swept):
        if found is not None:
            return f"{10 * round(found / 10)} K ({10 * round((found - 273.15) / 10)} °C) ± 20 K"
        everywhere = swept.metal_vapour[0] > _SHARE
        low, high = swept.charge.lowest, swept.charge.highest
        return (
            tr("below {low:.0f} K already", low=low)
            if everywhere
            else tr("nowhere up to {high:.0f} K", high=high)
        )
    if found is not None:
        return tr("{pressure}, within a factor of 2", pressure=show(Quantity(found, "bar"), 1))
    return (
        tr("above 1 bar already")
        if swept.metal_vapour[-1] > _SHARE
        else tr("below 1e-6 bar, if at all")
    )


def _in_words(swept: AmountsOver) -> str:
    along = tr("temperature") if _over_temperature(swept) else tr("pressure")
    most = max(swept.metal_vapour)
    return tr(
        "Equilibrium amounts of {charge} over {along} at {fixed}. A tenth of the {name} is free "
        "vapour: {reached}. At the most {most:.0f} % of it is vapour in this sweep.",
        charge=swept.charge,
        along=along,
        fixed=_fixed(swept),
        name=_name(swept.charge.metal),
        reached=_reached(swept),
        most=100 * most,
    )


def _vapour_in_words(curve: VapourCurve, charge: RetortCharge) -> str:
    T, p = curve.temperature.m_as("K"), curve.metal
    return tr(
        "Pressure of {name} vapour over {charge}, on a logarithmic axis: from {pressure} at "
        "{temperature:.0f} K to {last_pressure} at {last_temperature:.0f} K, within a factor of 2.",
        name=_name(charge.metal),
        charge=charge,
        pressure=show(p[0], 1),
        temperature=T[0],
        last_pressure=show(p[-1], 1),
        last_temperature=T[-1],
    )


def _told(swept: AmountsOver, curve: VapourCurve) -> str:
    charge = swept.charge
    tenth = tr(
        "a tenth of the {name} is vapour, at {fixed}", name=_name(charge.metal), fixed=_fixed(swept)
    )
    most = tr("{metal_vapour:.0f} % of it", metal_vapour=100 * max(swept.metal_vapour))
    notes = (charge.says, _ABOUT, *swept.notes)
    source = look.folded(
        tr("Tables and sources"),
        look.paragraphs(
            tr(
                "NIST-JANAF Thermochemical Tables, 4th ed. (Chase, 1998), through the Gibbs "
                "energies of this chapter. The route: {source}.",
                source=charge.source,
            )
        ),
    )
    return (
        look.key_numbers(
            Number(tenth, _reached(swept), "onset of metal vapour"),
            Number(tr("at the most, in this sweep"), most, "largest share of metal vapour"),
        )
        + _amounts_table(swept)
        + _vapour_table(curve, charge.metal)
        + "".join(look.note(note) for note in notes)
        + source
    )


def _amounts_table(swept: AmountsOver) -> str:
    chosen = np.linspace(0, len(swept.metal_vapour) - 1, _COLUMNS).round().astype(int)
    if _over_temperature(swept):
        heads = [f"{swept.temperature.m_as('K')[i]:.0f} K" for i in chosen]
    else:
        heads = [show(swept.pressure[i], 1) for i in chosen]
    rows = [
        (told(key), *(_moles(float(swept.amounts[key][i])) for i in chosen))
        for key in shown_species([swept])
    ]
    caption = tr("Amounts at {fixed}, in mol", fixed=_fixed(swept))
    return look.table(caption, ("", *heads), rows, origins=["amounts at equilibrium"])


def _vapour_table(curve: VapourCurve, metal: str) -> str:
    chosen = np.linspace(0, len(curve.temperature) - 1, _COLUMNS).round().astype(int)
    heads = [f"{curve.temperature.m_as('K')[i]:.0f} K" for i in chosen]
    rows = [
        (tr("all vapours"), *(show(curve.total[i], 1) for i in chosen)),
        (tr("{metal} vapour", metal=metal), *(show(curve.metal[i], 1) for i in chosen)),
    ]
    caption = tr("Pressure over the charge where the first gas forms, within a factor of 2")
    return look.table(caption, ("", *heads), rows, origins=["pressure over a charge"])


def _moles(amount: float) -> str:
    return "–" if amount < 0.0005 else f"{amount:.3f}"
