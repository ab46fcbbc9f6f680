"""Build data/liquids.json, the frozen and cited table, from data/liquid_names.toml and `thermo`.

Run ``python -m potash.properties.freeze_liquids`` after changing liquid_names.toml. `thermo` takes
seconds to load and some hundred megabytes, so it is used here and not in a student's kernel.

The rule: choose by CAS number; a value written by hand, with its source, stands before others;
then what ``published`` finds and lets pass; gaps stay gaps. Estimates are kept apart, for those who
ask for them.
"""

import json
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from potash.properties.published import estimated_records, published_records

HERE = Path(__file__).parent / "data"
NAMES = HERE / "liquid_names.toml"
FROZEN = HERE / "liquids.json"

_COPIED = ("name", "cas", "formula", "aliases", "smiles", "hazards")


def main() -> None:
    """Write liquids.json anew; the same sources give the same bytes."""
    document = tomllib.loads(NAMES.read_text("utf-8"))
    frozen = {
        "ambiguous": document["ambiguous"],
        "hazards_source": document["hazards_source"],
        "peroxides_source": document["peroxides_source"],
        "liquids": [_freeze(entry) for entry in document["liquid"]],
    }
    text = json.dumps(frozen, indent=1, ensure_ascii=False)
    FROZEN.write_text(_lists_on_one_line(text) + "\n", "utf-8")


def _freeze(entry: Mapping[str, Any]) -> dict[str, Any]:
    records = {record["property"]: _by_hand(record) for record in entry.get("record", [])}
    refused = {one["property"]: one["because"] for one in entry.get("refused", [])}
    for name, record in published_records(entry["cas"]).items():
        if name not in refused:
            records.setdefault(name, record)
    return {
        **{key: entry[key] for key in _COPIED},
        "forms_peroxides": entry.get("forms_peroxides"),
        "without_flash_point": entry.get("without_flash_point", False),
        "refused": refused,
        "records": records,
        "estimates": estimated_records(entry["cas"], entry["smiles"], records),
    }


def _by_hand(record: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in record.items() if key != "property"}


def _lists_on_one_line(text: str) -> str:
    return re.sub(r"\[[^\[\]{}]*\]", lambda found: " ".join(found.group().split()), text)


if __name__ == "__main__":
    main()
