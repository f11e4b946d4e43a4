"""Selling from the command line: one piece from purchase to sale, return and report."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from command import markrules


def run(place: Path, *arguments: str, code: int = 0) -> str:
    told = markrules(*arguments, "--catalogue", str(place))
    assert told.returncode == code, told.stdout + told.stderr
    return told.stdout + told.stderr


def test_a_piece_from_purchase_to_report(tmp_path: Path) -> None:
    place = tmp_path / "invented.db"
    run(place, "box", "start", "tin")
    run(place, "box", "add", "tin", "brooch marked TRIFARI, one stone missing", "bangle, bakelite")
    run(place, "piece", "bought", "tin", "--cost", "10 EUR", "--day", "2024-01-10")
    run(place, "sell", "listed", "tin", "1", "--price", "50 EUR", "--venue", "web shop")
    run(place, "sell", "stored", "tin", "1", "shelf B")
    told = run(place, "sell", "show", "tin", "1")
    assert "5.00 EUR, its part of the lot" in told
    assert "50.00 EUR, web shop" in told
    assert "shelf B" in told

    sold = ("sell", "sold", "tin", "1", "--price", "40 EUR", "--day", "2024-02-09")
    told = run(place, *sold, "--fees", "4", "--venue", "web shop")
    assert "Trifari" in told
    assert "net       31.00 EUR" in run(place, "sell", "show", "tin", "1")
    told = run(place, "sell", "report", "--by", "venue")
    assert "sold 1 for 40.00" in told
    assert "days to sell: 30" in told
    assert "no tax advice" in told
    run(place, "sell", "report", "--output", str(tmp_path / "r.xlsx"))
    assert (tmp_path / "r.xlsx").stat().st_size > 1000
    data = json.loads(run(place, "sell", "report", "--json"))
    assert data["lines"][-1]["net"] == 31

    run(place, "sell", "returned", "1")
    assert "came back" in run(place, "sell", "show", "tin", "1")
    run(place, *sold)


def test_what_cannot_be_is_refused_in_words(tmp_path: Path) -> None:
    place = tmp_path / "invented.db"
    run(place, "box", "start", "tin")
    run(place, "box", "add", "tin", "bangle")
    sold = ("sell", "sold", "tin", "1")
    assert "still to come" in run(place, *sold, "--price", "4 EUR", "--day", "2999-01-01", code=2)
    assert "no sale" in run(place, *sold, "--price", "0 EUR", code=2)
    assert "one currency" in run(place, *sold, "--price", "4 EUR", "--fees", "1 GBP", code=2)
    assert "no day of a year" in run(place, "sell", "report", "--year-starts", "13-01", code=2)
    run(place, *sold, "--price", "4 EUR")
    told = run(place, *sold, "--price", "4 EUR", code=2)
    assert "Traceback" not in told


def test_a_file_of_prices_is_not_taken_twice(tmp_path: Path) -> None:
    place, file = tmp_path / "invented.db", tmp_path / "sold.csv"
    file.write_text("date,price,type,venue,fees\n2024-05-01,30 EUR,brooch,fair,2\n")
    run(place, "prices", "import", str(file))
    told = run(place, "prices", "import", str(file), code=1)

    assert "sold.csv:2" in told
    assert "recorded already" in told
    assert run(place, "prices", "list").count("30.00") == 1


def test_an_empty_box_says_so_and_what_to_do(tmp_path: Path) -> None:
    place = tmp_path / "invented.db"
    run(place, "box", "start", "tin")
    for command in ("glance", "decide"):
        told = run(place, command, "tin")
        assert "tin holds no piece yet" in told
        assert 'markrules box add "tin"' in told
        assert "WHAT TO DO" not in told


def test_a_sale_tells_all_that_it_keeps_and_nothing_has_a_day_that_was_not_told(
    tmp_path: Path,
) -> None:
    place = tmp_path / "invented.db"
    own = tmp_path / "own.csv"
    own.write_text(
        "note,storage,asking price,listed where\n"
        '"brooch, Danish silver, marked GJ 925 DENMARK, leaf, 4 cm",safe,120 EUR,web shop\n'
        '"brooch marked JB",bag,,\n'
        '"brooch, unsigned",bag,,\n'
    )
    run(place, "box", "start", "tin")
    run(place, "box", "import", "tin", str(own))

    told = run(place, "sell", "show", "tin", "1")
    assert "since" not in told
    assert "safe" in told

    def sold(number: str) -> str:
        terms = ("--price", "9 EUR", "--day", "2024-02-09")
        return " ".join(run(place, "sell", "sold", "tin", number, *terms).split())

    kept = sold("1")
    for word in ("brooch", ", signed", "silver", "leaf", "40 mm", "condition not stated"):
        assert word in kept, word
    assert "not told whether signed" in sold("2")
    assert ", unsigned" in sold("3")


def test_what_lies_unsold_without_a_cost_is_counted(tmp_path: Path) -> None:
    """Who writes down sales and no purchases reads all the same what is left."""
    catalogue = ("--catalogue", str(tmp_path / "own.sqlite"))
    markrules("box", "start", "tin", *catalogue)
    markrules("box", "add", "tin", "brooch", "ring", "necklace", *catalogue)
    markrules("sell", "sold", "tin", "1", "--price", "5 EUR", *catalogue)
    file = tmp_path / "report.csv"
    told = markrules("sell", "report", "--output", str(file), *catalogue).stdout
    assert re.search(r"cost not recorded +2\n", told)
    assert file.with_name("report-unsold.csv").read_text("utf-8").splitlines() == [
        "currency,unsold for,pieces,at cost",
        ",cost not recorded,2,",
    ]


def test_a_list_tells_a_mark_that_was_read_in_part_and_no_unlikely_maker(tmp_path: Path) -> None:
    place = tmp_path / "invented.db"
    run(place, "box", "start", "tin")
    run(place, "box", "add", "tin", "clip earrings, marked G?R?RD", "brooch, marked KADOLPH")
    run(place, "box", "read", "tin")
    _, part, full = run(place, "box", "show", "tin").splitlines()
    assert part.endswith('"G?R?RD", in part')
    assert full.endswith('"KADOLPH", not listed')


def test_a_parure_kept_in_a_box_is_priced_by_its_pieces(tmp_path: Path) -> None:
    """As a note of it is; and so is what goes by a name of its own, links with a clip."""
    place = tmp_path / "invented.db"
    catalogue = ("--catalogue", str(place))
    parure = "parure: necklace, bracelet and earrings, gold tone"
    markrules("box", "start", "tin", *catalogue)
    markrules("box", "add", "tin", parure, "cufflinks and tie clip set", *catalogue)
    for price, kind in (
        *(("40", "necklace"), ("20", "bracelet"), ("15", "earrings")),
        *(("12", "cufflinks"), ("6", "tie bar")),
    ):
        day = ("--day", "2024-05-03", "--type", kind)
        markrules("prices", "add", f"{price} EUR", *day, *catalogue)

    def value(*of: str) -> dict[str, Any]:
        told = json.loads(markrules("value", *of, "--json", *catalogue).stdout)
        found: dict[str, Any] = told["value"]["estimate"]
        return found

    whole = value("tin", "1")
    assert whole["currency"] == "EUR"
    assert whole["expected"] == value("--note", parure)["expected"]
    assert whole["expected"] > 60
    assert 12 < value("tin", "2")["expected"] < whole["expected"]
    markrules("sell", "sold", "tin", "1", "--price", "80 EUR", "--day", "2024-06-01", *catalogue)
    markrules("box", "undo", *catalogue)
    assert value("tin", "1") == whole
