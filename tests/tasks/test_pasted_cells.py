"""What was pasted where a table is wanted."""

from __future__ import annotations

import csv
import io

import pytest
from shipped_base import shipped_reader

from markrules.tasks.pasted_cells import table_pasted


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        # one piece a line, with any number of commas and quotes
        (
            'brooch, rollover catch\nring, 18K, worn\n\nearrings\n"MONTEL" on a pin',
            [
                ["note"],
                ["brooch, rollover catch"],
                ["ring, 18K, worn"],
                ["earrings"],
                ['"MONTEL" on a pin'],
            ],
        ),
        ("ring\nbrooch, jet", [["note"], ["ring"], ["brooch, jet"]]),
        ('brooch 2" long, jet\nring', [["note"], ['brooch 2" long, jet'], ["ring"]]),
        # below one heading alone
        ("note\nbrooch, jet\nring", [["note"], ["brooch, jet"], ["ring"]]),
        ('Description\n"brooch, ""A"""\nring', [["Description"], ['brooch, "A"'], ["ring"]]),
        # cells
        ('note,cost\n"brooch, jet",5 EUR', [["note", "cost"], ["brooch, jet", "5 EUR"]]),
        ("Item\tPrice\nbrooch, jet\t12 EUR", [["Item", "Price"], ["brooch, jet", "12 EUR"]]),
        ("Stück;Preis\nBrosche;12", [["Stück", "Preis"], ["Brosche", "12"]]),
        ("brooch; jet; C catch\nring; 9ct", [["note"], ["brooch; jet; C catch"], ["ring; 9ct"]]),
        # headings that nobody knows stay what they are, to be told what they mean
        ("Thing,Stuff\nbrooch,gold", [["Thing", "Stuff"], ["brooch", "gold"]]),
    ],
)
def test_lines_and_cells_are_told_apart(text: str, rows: list[list[str]]) -> None:
    ending, table = table_pasted(shipped_reader(), text)

    delimiter = "\t" if ending == "tsv" else ";" if ";" in table else ","
    assert list(csv.reader(io.StringIO(table), delimiter=delimiter)) == rows
