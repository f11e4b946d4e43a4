"""One afternoon with an invented box, in which every command that writes JSON writes some."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from command import markrules
from lamp_simulator import Scene, photos
from samples import FULL

BOX = "invented tin"

Step = tuple[str, list[str]]


def steps(place: Path) -> Iterator[Step]:  # noqa: PLR0915 (one list, in order)
    """The form that is written, and the command that writes it, in an order that makes sense."""
    picture, table, prices, marks, _batch, dated, text = files(place)
    yield "reading", ["read", "brooch, rollover catch, prong set stones, marked ?RIF..."]
    yield "reading", ["read", "qwxyz, wedding gift 1931, 14k, one stone missing, maybe celluloid"]
    yield (
        "reading",
        ["read", "brooch, marked VOLMERIX, replaced catch, 1/20 12K GF, PAT. 1,798,867"],
    )
    yield "marks", ["marks", "N?PI[E>F]R (crown)"]
    yield "marks-import", ["marks", "import", str(marks)]
    yield "numbers", ["numbers", "PAT. 1,798,867 Rd No 750000"]
    yield "metal", ["metal", "1/20 12K GF", "--weight", "20", "--price", "31"]
    yield "metal", ["metal", "EPNS 14K"]
    yield "demo", ["demo"]
    yield "box", ["box", "start", BOX, "--note", "an invented box"]
    yield "boxes", ["box", "list"]
    yield (
        "entered",
        [
            *("box", "add", BOX, "brooch, rollover catch, 2 stones missing, marked STERLING"),
            *("earrings, clip, red rhinestones, unsigned", "ring, 14k, 3 g, glimmerwort"),
            *("clip earring, blue stones", "clip earring, blue stones", "bangle, bakelite"),
        ],
    )
    yield "box-import", ["box", "import", BOX, str(table), "--skip-bad"]
    yield "box-taken-in", ["box", "take-in", str(exported(place)), "--skip-bad"]
    yield "piece-in-full", ["piece", "show", BOX, "3"]
    yield "box-read", ["box", "read", BOX, "--jobs", "1"]
    yield "pieces", ["box", "show", BOX]
    yield "pieces", ["box", "search", "brooch"]
    yield "seen", ["piece", "see", BOX, "1", "catch=rollover", "one stone missing"]
    yield "seen", ["piece", "correct", BOX, "1", "1", "catch=lever-safety"]
    yield "photos", ["piece", "photo", BOX, "1", str(picture), "--shows", "front"]
    yield "piece", ["piece", "tell", BOX, "1", "A wedding gift in 1931, says an invented niece."]
    yield "piece", ["piece", "title", BOX, "1", "Leaf brooch"]
    yield "piece", ["piece", "own-number", BOX, "1", "BR-0001"]
    yield "set", ["piece", "set", "leaf set", BOX, "1", "2"]
    yield "bought", ["piece", "bought", BOX, "--cost", "40 EUR", "--day", "2024-06-30"]
    yield "bought", ["piece", "bought", BOX, "1", "--cost", "4 EUR", "--where", "a fair"]
    yield "bought-together", ["piece", "bought", BOX, "2", "3", "--cost", "7 EUR"]
    yield "cost", ["sell", "cost", "1", "45 EUR"]
    yield "figure", ["figures", "set", "hour", "12.50"]
    yield "figure", ["figures", "set", "gold-price", "2400/ozt"]
    yield "figures", ["figures", "show"]
    yield "sale", ["prices", "add", "34.50 EUR", "--day", "2024-06-30", "--type", "brooch"]
    yield "sale", ["prices", "add", "30 EUR", "--day", "2024-05", "--of", BOX, "2"]
    yield "prices-import", ["prices", "import", str(prices), "--skip-bad"]
    yield "sales", ["prices", "list"]
    yield "price-dropped", ["prices", "drop", "2"]
    yield "appraisal", ["value", BOX, "1"]
    yield "appraisal", ["decide", BOX, "3"]
    yield "appraisal", ["decide", "--note", "brooch, one stone missing, marked 14K, 4 g"]
    yield "decisions", ["decide", BOX, "--save"]
    yield "glance", ["glance", BOX]
    yield "stone", ["stones", "add", "--shape", "round", "--size", "SS16", "--colour", "red"]
    yield "stone", ["stones", "add", "--shape", "oval", "--size", "4mm", "--count", "6"]
    yield "stones-import", ["stones", "import", str(stocked(place)), "--skip-bad"]
    yield "stones", ["stones", "list"]
    yield "stones-fitting", ["stones", "match", "--shape", "round", "--size", "SS16"]
    yield "stones-fitting", ["stones", "match", "--size", "4.1mm", "--colour", "light blue"]
    yield "stones-mirrored", ["stones", "mirror", "round, 4 mm, red", "round, 4 mm, pink"]
    yield "stone", ["stones", "use", "2", "--count", "2"]
    yield "claims", ["sheet", "check", str(text), "--note", "brooch, unsigned"]
    yield "complete", ["sheet", "complete", BOX, "1"]
    yield "listing", ["sheet", "listing", BOX, "1"]
    yield "sheets", ["sheet", "box", BOX, "--to", str(place / "sheets"), "--no-pdf"]
    yield "listed", ["sell", "listed", BOX, "1", "--price", "40 EUR", "--venue", "web shop"]
    yield "stored", ["sell", "stored", BOX, "1", "shelf B"]
    yield "sold", ["sell", "sold", BOX, "1", "--price", "34.50 EUR", "--venue", "Sunday fair"]
    yield "standing", ["sell", "show", BOX, "1"]
    yield "report", ["sell", "report"]
    yield "sale-returned", ["sell", "returned", "4"]
    yield "piece", ["piece", "gone", BOX, "2", "--why", "given away"]
    yield "piece-in-full", ["piece", "show", BOX, "1"]
    yield "piece-in-full", ["piece", "show", BOX, "3"]
    yield "steps", ["box", "steps"]
    yield "undone", ["box", "undo"]
    yield "redone", ["box", "redo"]
    yield "archive", ["box", "archive", str(place / "packed.zip")]
    yield "copy", ["box", "copy", str(place / "copy.db")]
    yield "box-check", ["box", "check", str(place / "packed.zip")]
    restored = ["--catalogue", str(place / "restored.db")]
    yield "restored", ["box", "restore", str(place / "packed.zip"), *restored]
    yield "box", ["box", "rename", BOX, "another tin"]
    yield "problems", ["rules", "check", str(place / "broken"), "--no-cases"]
    yield "rules-counted", ["rules", "list"]
    yield "rules-listed", ["rules", "list", "trusts"]
    yield "audit", ["rules", "audit", str(dated)]
    yield "book", ["rules", "book", str(place / "book")]
    pictures, around, _ = photos(Scene(letter=40, hours=(12, 4, 8)))
    lamps = [place / "lamps" / f"{number}.jpg" for number in range(len(pictures))]
    for file, data in zip(lamps, pictures, strict=True):
        file.write_bytes(data)
    mark = ["--mark", ",".join(str(int(each)) for each in around)]
    yield "lamps", ["lamps", *map(str, lamps), *mark, "--to", str(place / "relief")]
    # Last: whatever is opened after these is built anew.
    own = ["--rules", str(place / "own")]
    if FULL:  # each of these builds the rules anew
        yield "own-maker", ["rules", "add-maker", "Fenwick", "--years", "1950-1970", *own]
    yield "own-maker", ["rules", "add-maker", "Hollin", "--mark", "HOLLIN", *own]
    yield "own-maker", ["rules", "take-out-maker", "hollin"]


def files(place: Path) -> tuple[Path, ...]:
    """What the steps take in: all of it invented."""
    from PIL import Image

    for folder in ("own", "broken", "lamps"):
        (place / folder).mkdir(parents=True)
    broken = (
        'clue odd\n    when catch is rollovr\n    made mostly 1920\n    trust weak\n    why "x"\n'
    )
    (place / "broken" / "odd.rules").write_text(broken, encoding="utf-8")
    contents = {
        "list.csv": 'note,weight\n"brooch, c catch",4\n,\n"ring, plastic",x\n',
        "sold.csv": "price,currency,day,type\n12,EUR,2024-03-01,brooch\nfree,EUR,2024-03-01,ring\n",
        "marks.csv": "maker,mark,years\nFenwick Studio,FENWICK,1950-1970\n,,\n",
        "box.jsonl": '{"id": "a", "note": "brooch, rollover catch"}\nnot json\n{"note": 5}\n',
        "dated.jsonl": "".join(
            json.dumps(
                {
                    "id": f"invented-{number}",
                    "piece_type": "brooch",
                    "observations": ["rollover catch", "prong set stones"],
                    "stated_from": 1940 + number,
                    "stated_to": 1950 + number,
                    "stated_maker": "",
                }
            )
            + "\n"
            for number in range(3)
        ),
        "listing.txt": "Rare antique Victorian solid gold brooch, guaranteed old.\n",
    }
    for name, content in contents.items():
        (place / name).write_text(content, encoding="utf-8")
    picture = place / "front.png"
    Image.new("RGB", (60, 40), (120, 60, 40)).save(picture)
    return (picture, *(place / name for name in contents))


def stocked(place: Path) -> Path:
    """A table of invented spare stones, one line of which is none."""
    file = place / "stones.csv"
    file.write_text("shape,size,colour,count\nnavette,10x5,red,4\nround,big,,1\n", encoding="utf-8")
    return file


def exported(place: Path) -> Path:
    """An export of one invented piece, and a line that is none."""
    piece = {
        "form": "markrules-pieces/1",
        "box": "another invented tin",
        "number": 3,
        "note": "clip, enamel",
        "identifier": "abcdefghijklmnop",
        "added": "2026-06-14T10:00:00+00:00",
    }
    file = place / "exported.jsonl"
    file.write_text(json.dumps(piece) + "\n" + json.dumps(piece) + "\n", encoding="utf-8")
    return file


def played(place: Path) -> list[tuple[str, Any]]:
    """Every form with the data that a command wrote, in the order of the steps, and batch lines."""
    env = {
        "MARKRULES_CATALOGUE": str(place / "tin.db"),
        "MARKRULES_RULES": str(place / "own"),
        "MARKRULES_MARKS": str(place / "marks.sqlite"),
    }
    written: list[tuple[str, Any]] = []
    for form, arguments in steps(place):
        done = markrules(*arguments, "--json", env=env)
        assert done.stdout.strip(), (arguments, done.stderr)
        written.append((form, json.loads(done.stdout)))
    lines = markrules("read", "--batch", str(place / "box.jsonl"), env=env).stdout.splitlines()
    written += [("batch", json.loads(line)) for line in lines]
    return written
