"""What every run of the published checks shows at its end: the worst difference per species."""

from collections import defaultdict

import pytest

_LEDGER = pytest.StashKey[dict[str, dict[str, tuple[float, float]]]]()


class Ledger:
    """Differences between Potash and a reference, kept by table and species for the summary."""

    def __init__(self, tables):
        self._tables = tables

    def record(self, table, species, difference, tolerance):
        """Keep ``difference`` if it is the largest share of its tolerance so far."""
        rows = self._tables[table]
        share = abs(difference) / tolerance
        if species not in rows or share > abs(rows[species][0]) / rows[species][1]:
            rows[species] = (float(difference), tolerance)


def pytest_configure(config):
    config.stash[_LEDGER] = defaultdict(dict)


@pytest.fixture
def ledger(request):
    """The ledger of this test run."""
    return Ledger(request.config.stash[_LEDGER])


def pytest_terminal_summary(terminalreporter, config):
    for table, rows in config.stash[_LEDGER].items():
        terminalreporter.section(f"largest differences: {table}")
        cells = [
            f"{species} {difference:+.3f} of {tolerance:g}"
            for species, (difference, tolerance) in sorted(
                rows.items(), key=lambda row: -abs(row[1][0]) / row[1][1]
            )
        ]
        width = max(map(len, cells)) + 3
        columns = max(1, 100 // width)
        for start in range(0, len(cells), columns):
            line = "".join(cell.ljust(width) for cell in cells[start : start + columns])
            terminalreporter.write_line(line.rstrip())
