"""What comes out of a screening: findings in words, and the verdict they add up to."""

from dataclasses import dataclass

from potash.solvents.candidates import Candidate
from potash.solvents.conditions import Conditions
from potash.words import later, tr

PASSED = later("passed")
CARE = later("with care")
FAILED = later("failed")
NO_DATA = later("no data")

SUITABLE = later("suitable")
SUITABLE_WITH_CARE = later("suitable with care")
UNSUITABLE = later("unsuitable")

VERDICTS = (SUITABLE, SUITABLE_WITH_CARE, UNSUITABLE)

MEANING = tr(
    '"Suitable" means that no rule switched on speaks against the liquid, and nothing more: it is '
    "no statement that the work may be done. Supervision, your institution's approval and local "
    "codes decide. Rules without data count neither for nor against."
)


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says of one liquid.

    rule: its name. outcome: passed, with care, failed or no data. words: one sentence with the
    numbers. estimated: whether it hangs on an estimate.
    """

    rule: str
    outcome: str
    words: str
    estimated: bool = False


def _reactions_first(finding: Finding) -> bool:
    return finding.rule != "functional_groups"


@dataclass(frozen=True, slots=True)
class Crossing:
    """Temperature at which liquid and melt have the same density (K), and the band around it.

    low, high: where the difference is within twice its uncertainty. sinks_above: whether the metal
    rises below and sinks above it.
    """

    temperature: float
    low: float
    high: float
    sinks_above: bool


@dataclass(frozen=True, slots=True)
class Buoyancy:
    """Densities at the working temperature (kg/m3), None where unknown.

    difference: liquid minus metal; margin: twice its standard uncertainty.
    """

    liquid: float | None
    metal: float
    difference: float | None
    margin: float | None
    crossing: Crossing | None
    estimated: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """One liquid, judged: the verdict never comes without the findings it is made of."""

    candidate: Candidate
    conditions: Conditions
    findings: tuple[Finding, ...]
    buoyancy: Buoyancy
    vapour_pressure: float | None

    @property
    def liquid(self) -> str:
        """Name of the liquid."""
        return self.candidate.liquid.name

    @property
    def verdict(self) -> str:
        """Suitable, suitable with care, or unsuitable: the worst outcome of any rule."""
        outcomes = {finding.outcome for finding in self.findings}
        if FAILED in outcomes:
            return UNSUITABLE
        return SUITABLE_WITH_CARE if CARE in outcomes else SUITABLE

    def of_outcome(self, outcome: str) -> tuple[Finding, ...]:
        """The findings of one outcome, in the order of the rules."""
        return tuple(finding for finding in self.findings if finding.outcome == outcome)

    @property
    def by_weight(self) -> tuple[Finding, ...]:
        """All findings: failed, with care, without data, passed; reactions first in each."""
        return tuple(
            finding
            for outcome in (FAILED, CARE, NO_DATA, PASSED)
            for finding in sorted(self.of_outcome(outcome), key=_reactions_first)
        )

    @property
    def reasons(self) -> str:
        """Why not, in words: what failed, what needs care, what is unknown; reactions first."""
        speaking = [finding.words for finding in self.by_weight if finding.outcome != PASSED]
        return " ".join(speaking) or tr("No rule speaks against it.")

    @property
    def hangs_on_estimates(self) -> bool:
        """Whether any rule that did not simply pass, or passed, used an estimated value."""
        return any(finding.estimated for finding in self.findings)

    @property
    def rank(self) -> tuple[int, int, int, int, str]:
        """Order in the table: verdict, then how many rules failed, need care and lack data."""
        counts = [len(self.of_outcome(outcome)) for outcome in (FAILED, CARE, NO_DATA)]
        return (VERDICTS.index(self.verdict), counts[0], counts[1], counts[2], self.liquid)

    def _repr_html_(self) -> str:
        import html

        rows = "".join(
            f"<tr><th>{html.escape(tr(f.outcome))}</th><td>{html.escape(f.words)}</td></tr>"
            for f in self.findings
        )
        title = html.escape(
            tr(
                "{liquid}: {verdict} for {conditions}",
                liquid=self.liquid,
                verdict=tr(self.verdict),
                conditions=self.conditions,
            )
        )
        return f"<table><caption>{title}</caption>{rows}</table><p>{html.escape(MEANING)}</p>"
