"""Units: a quantity typed, how it is read, and what it is in other units of its kind."""

from potash.errors import PotashError
from potash.lookup import Told, tell
from potash.panels.frame import controls, look
from potash.panels.frame.look import Number
from potash.panels.frame.shell import Shell
from potash.words import tr

_EXAMPLES = "3,5 mL   ·   1.20e-3 mol   ·   25 °C   ·   −196 kJ/mol   ·   85 %"


def units() -> Shell:
    """A field to type a quantity in, with its reading and conversions under it."""
    return _UnitsPanel().shell


class _UnitsPanel:
    def __init__(self) -> None:
        self.shell = Shell(
            tr("How is it read?"),
            tr(
                "Type a number with its unit, as in any answer. Point and comma are both welcome; "
                "nothing is guessed."
            ),
        )
        self.typed = controls.text(tr("Quantity"), "3,5 mL", width="320px", live=True)
        self.difference = controls.tick(tr("It is a difference of temperatures: 25 °C means 25 K"))
        self.told = controls.html(height="240px")
        for control in (self.typed, self.difference):
            control.observe(self.shell.guarded(self.look), "value")
        self.shell.fill(
            controls.html(look.note(tr("For example: {examples}", examples=_EXAMPLES))),
            self.typed,
            self.difference,
            self.shell.message,
            self.told,
        )
        self.look()

    def look(self) -> None:
        """Read what is typed now; what cannot be read is said, and stays in its field."""
        try:
            told = tell(self.typed.value, difference=self.difference.value)
        except PotashError as error:
            self.told.value = ""
            self.shell.say(look.problem(str(error)))
        else:
            self.shell.say("")
            self.told.value = _shown(told)
        self.shell.keep(self.told.value or self.shell.message.value, self.typed.value)


def _shown(told: Told) -> str:
    kind = tr(" or ").join(told.kinds) or tr("no kind that has a name here")
    numbers = look.key_numbers(
        Number(tr("read as"), told.read_as, "quantity as read"),
        Number(tr("kind"), kind, "kind of a quantity"),
        Number(tr("significant figures"), str(told.figures), "significant figures"),
    )
    if not told.conversions:
        return numbers + look.note(tr("For this kind no other customary units are kept."))
    rows = [(one.unit, one.value) for one in told.conversions]
    return numbers + look.table(
        tr("The same in other units, with the figures you typed and at least three"),
        (tr("Unit"), tr("Value")),
        rows,
        origins=["conversion of units"],
    )
