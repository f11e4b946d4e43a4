"""Exports are read by tools of other hands: PyLD and rdflib (JSON-LD 1.1), cromulent (the Linked
Art project's own model of classes and properties), edtf, csv, and expat."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from sheets_notes import NOTES
from together import every_case

from markrules.sheets.exports.dublin_core import dublin_core
from markrules.sheets.exports.linked_art import CONTEXT, linked_art
from markrules.sheets.exports.schema_org import schema_org
from markrules.sheets.exports.shared import exported, thesaurus
from markrules.sheets.exports.table import COLUMNS, row, table

CRM = "http://www.cidoc-crm.org/cidoc-crm/"


def linked_art_context() -> dict:
    """The context as the Linked Art project's tool carries it, so that no test needs a network."""
    cromulent = pytest.importorskip("cromulent")
    path = Path(cromulent.__file__).parent / "data" / "linked-art.json"
    return json.loads(path.read_text())


def expanded(data: dict) -> list[dict]:
    jsonld = pytest.importorskip("pyld").jsonld

    def loader(url: str, options: dict) -> dict:
        assert url == CONTEXT, f"the export asks for {url}"
        return {
            "contextUrl": None,
            "documentUrl": url,
            "contentType": "application/ld+json",
            "document": linked_art_context(),
        }

    return jsonld.expand(data, {"documentLoader": loader})


@every_case("note", NOTES)
def test_linked_art_expands_to_cidoc_crm(make_matter, note: str) -> None:
    """Every name must be known to the context: what it does not know, expansion drops."""
    data = linked_art(exported(make_matter(note, uid="abc")))
    (node,) = expanded(data)
    assert node["@type"] == [f"{CRM}E22_Human-Made_Object"]
    assert f"{CRM}P2_has_type" in node
    assert f"{CRM}P1_is_identified_by" in node
    assert _count(data) == _count_expanded(node)


def _count(data: object) -> int:
    """Properties in the export; `id`, `type` and `@context` are the keywords of JSON-LD."""
    if isinstance(data, list):
        return sum(map(_count, data))
    if not isinstance(data, dict):
        return 0
    own = [key for key in data if key not in ("id", "type", "@context")]
    return len(own) + sum(_count(data[key]) for key in own)


def _count_expanded(node: object) -> int:
    if isinstance(node, list):
        return sum(map(_count_expanded, node))
    if not isinstance(node, dict) or "@value" in node:
        return 0
    if "@list" in node:
        return _count_expanded(node["@list"])
    own = [key for key in node if not key.startswith("@")]
    return len(own) + sum(_count_expanded(node[key]) for key in own)


@every_case("note", NOTES)
def test_linked_art_fits_the_model(make_matter, whole, note: str) -> None:
    """cromulent refuses classes and properties that the model does not have in that place."""
    reader = pytest.importorskip("cromulent.reader")
    model = pytest.importorskip("cromulent.model")
    for matter in (make_matter(note), whole):
        text = json.dumps(linked_art(exported(matter)))
        read = reader.Reader().read(text)
        assert isinstance(read, model.HumanMadeObject)


def test_the_model_check_can_fail() -> None:
    reader = pytest.importorskip("cromulent.reader")
    wrong = {"@context": CONTEXT, "type": "HumanMadeObject", "carried_out_by": [{"type": "Group"}]}
    with pytest.raises(Exception, match="carried_out_by"):
        reader.Reader().read(json.dumps(wrong))


def test_years_stand_in_a_time_span_that_an_xsd_reader_takes(whole) -> None:
    from datetime import datetime

    span = linked_art(exported(whole))["produced_by"]["timespan"]
    begin, end = (
        datetime.fromisoformat(span[name].replace("Z", "+00:00"))
        for name in ("begin_of_the_begin", "end_of_the_end")
    )
    date = whole.reading.date
    # CIDOC CRM 7.1, P82a and P82b: the outer bounds, outside of which nothing of it lies.
    assert begin.year <= date.range.first < date.range.last <= end.year
    years = dict(enumerate(date.curve, date.first_year))
    assert sum(share for year, share in years.items() if year < begin.year) <= 0.005
    assert sum(share for year, share in years.items() if year <= begin.year) > 0.005
    assert sum(share for year, share in years.items() if year > end.year) <= 0.005
    assert sum(share for year, share in years.items() if year >= end.year) > 0.005
    said = [each["content"] for each in span["referred_to_by"]]
    most = date.range
    assert said[0] == f"{most.first}–{most.last}: probability {most.mass:.2f}"
    assert f"{begin.year}–{end.year}: probability 0.99" in said


@every_case("note", NOTES)
def test_numbers_of_schema_org_are_those_of_the_reading(make_matter, note: str) -> None:
    matter = make_matter(note)
    found = schema_org(exported(matter))["additionalProperty"]
    spans = [each for each in found if each["name"] == "year of making"]
    date = matter.reading.date
    runs = date.years if len(date.years) > 1 else (date.range,)
    expected = [(run.first, run.last, round(run.mass, 3)) for run in runs]
    assert [
        (each["minValue"], each["maxValue"], each["valueReference"]["value"]) for each in spans
    ] == (expected if matter.reading.evidence else [])
    (by,) = [each for each in found if each["name"] == "attribution"]
    if "valueReference" in by:
        likely = max(each.probability for each in matter.reading.makers if each.maker)
        assert by["valueReference"]["value"] == round(likely, 3)


def test_materials_are_those_seen_and_sure(make_matter) -> None:
    matter = make_matter(
        "brooch, gilt, maybe celluloid, possibly sterling, not platinum. Seller says 18k gold."
    )
    assert schema_org(exported(matter))["material"] == ["gilt"]
    text = json.dumps(linked_art(exported(matter))["referred_to_by"])
    statements = [
        each["content"]
        for each in json.loads(text)
        if each["classified_as"][0]["_label"] == "material statement"
    ]
    assert statements == ["gilt"]


def test_photos_come_with_both_and_bear_no_place(whole) -> None:
    import base64

    from PIL import Image

    piece = exported(whole)
    ours = [each["contentUrl"] for each in schema_org(piece)["image"]]
    theirs = [
        each["digitally_shown_by"][0]["access_point"][0]["id"]
        for each in linked_art(piece)["representation"]
    ]
    assert len(ours) == len(whole.photos) == 2
    assert ours == theirs
    for each in ours:
        head, data = each.split(",", 1)
        assert head == "data:image/jpeg;base64"
        picture = Image.open(io.BytesIO(base64.b64decode(data)))
        assert picture.size == (whole.photos[0].width, whole.photos[0].height)
        assert not picture.getexif()


def test_thesaurus_identifiers_are_those_of_the_linked_art_vocabulary() -> None:
    """Where cromulent names a term, its identifier is ours; piece types are from the subject tags
    of the Metropolitan Museum's open data (brooches 300045995, necklaces 300046001, bracelets
    300045991, earrings 300045998, rings 300046012)."""
    cromulent = pytest.importorskip("cromulent")
    folder = Path(cromulent.__file__).parent / "data"
    known = json.loads((folder / "vocab_classes.json").read_text())
    units = json.loads((folder / "vocab_instances.json").read_text())
    ours = thesaurus()
    for name, term in (("Length", "length"), ("Width", "width"), ("Weight", "weight")):
        assert ours["features"][term][0] == known[name]["id"]
    for name, term in (
        ("Description", "description"),
        ("ConditionStatement", "condition"),
        ("MaterialStatement", "materials"),
        ("DimensionStatement", "dimensions"),
        ("ProvenanceStatement", "provenance"),
        ("InscriptionStatement", "inscription"),
        ("LocalNumber", "number"),
        ("SystemNumber", "system"),
        ("PrimaryName", "preferred"),
    ):
        assert ours["texts"][term][0] == known[name]["id"]
    assert ours["pieces"]["ornament"][0] == known["Jewelry"]["id"]
    assert ours["units"]["cm"][0] == units["cm"]["id"]
    assert ours["units"]["g"][0] == units["grams"]["id"]
    tags = {"brooch": "300045995", "necklace": "300046001", "bracelet": "300045991"}
    assert {name: ours["pieces"][name][0] for name in tags} == tags


@every_case("note", NOTES)
def test_schema_org_uses_only_its_own_terms(make_matter, whole, note: str) -> None:
    """rdflib carries the whole vocabulary; its own JSON-LD reader makes the triples."""
    rdflib = pytest.importorskip("rdflib")
    from rdflib.namespace import RDF, SDO

    for matter in (make_matter(note), whole):
        graph = rdflib.Graph()
        graph.parse(data=json.dumps(schema_org(exported(matter))), format="json-ld")
        assert (None, RDF.type, SDO.Product) in graph
        terms = set(graph.predicates()) - {RDF.type} | set(graph.objects(None, RDF.type))
        assert [str(each) for each in terms if each not in SDO] == []
        assert rdflib.URIRef("https://schema.org/prodct") not in SDO  # the check can fail


def test_both_json_ld_readers_make_the_same_triples(whole) -> None:
    """PyLD and rdflib, which share no code."""
    rdflib = pytest.importorskip("rdflib")
    from rdflib import compare

    jsonld = pytest.importorskip("pyld").jsonld
    data = schema_org(exported(whole))
    ours, theirs = rdflib.Graph(), rdflib.Graph()
    ours.parse(data=json.dumps(data), format="json-ld")
    theirs.parse(data=jsonld.to_rdf(data, {"format": "application/n-quads"}), format="nquads")
    assert len(ours) > 20
    assert compare.isomorphic(_by_value(ours), _by_value(theirs))


def _by_value(graph):
    """The graph with numbers by value: 55.0 and 5.5E1 are one xsd:double."""
    import rdflib

    plain = rdflib.Graph()
    for subject, predicate, each in graph:
        number = isinstance(each, rdflib.Literal) and isinstance(each.value, int | float)
        plain.add((subject, predicate, rdflib.Literal(float(each.value)) if number else each))
    return plain


@every_case("note", NOTES)
def test_dates_are_edtf(make_matter, note: str) -> None:
    """The edtf package parses level 1 of ISO 8601-2 and gives the same bounds."""
    edtf = pytest.importorskip("edtf")
    matter = make_matter(note)
    found = edtf.parse_edtf(exported(matter).edtf)
    stretch = matter.reading.date.range
    if not matter.reading.evidence:
        assert found.lower_strict()[0] <= stretch.first
        assert found.upper_strict()[0] >= stretch.last
        return
    assert found.lower_strict() is not None
    if ".." not in exported(matter).edtf:
        assert found.lower_strict()[0] == stretch.first
        assert found.upper_strict()[0] == stretch.last


def test_dublin_core_holds_its_fifteen_elements_and_no_others(whole) -> None:
    """ISO 15836-1, as rdflib carries them."""
    rdflib = pytest.importorskip("rdflib")
    from rdflib.namespace import DC

    root = ElementTree.fromstring(dublin_core(exported(whole)))
    names = [each.tag for each in root]
    assert {f"{{{DC}}}{name}" for name in ("title", "date", "type", "identifier")} <= set(names)
    assert [
        name for name in names if rdflib.URIRef(name.replace("{", "").replace("}", "")) not in DC
    ] == []


def test_csv_comes_back_as_it_went(whole) -> None:
    piece = exported(whole)
    (head, cells) = csv.reader(io.StringIO(table([row(piece)]), newline=""))
    assert tuple(head) == COLUMNS
    assert cells[COLUMNS.index("title")] == "Red flower brooch"
    assert cells[COLUMNS.index("edtf")] == piece.edtf


@every_case("start", ["=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "  +1"])
def test_no_cell_is_a_formula(make_matter, start: str) -> None:
    """The signs are those of OWASP's page on CSV injection."""
    text = f'{start}HYPERLINK("http://hostile.invalid";"x")'
    piece = exported(make_matter(text, title=text, told=text, box=text, number=1))
    (_, cells) = csv.reader(io.StringIO(table([row(piece)]), newline=""))
    assert not [cell for cell in cells if cell.lstrip()[:1] in ("=", "+", "-", "@")]
    assert "HYPERLINK" in cells[COLUMNS.index("title")]


def test_addresses_are_the_piece_s_own(make_matter) -> None:
    one, same, other = (exported(make_matter("brooch", uid=uid)) for uid in ("a", "a", "b"))
    assert one.address == same.address != other.address
    assert one.address.startswith("urn:uuid:")


@every_case(
    ("note", "material"),
    [
        ("18K ring, tested as gold, 5 g", ["gold-coloured"]),
        ("ring, marked 925, silver", ["silver", "silver 925"]),
        ("necklace, coral branch, not tested", ["coral-coloured"]),
        ("brooch, gold tone, rhinestones", ["gold tone", "rhinestone"]),
        ("locket, marked 1/20 12K GF, engraved", ["1/20 12K gold filled"]),
        ("brooch, gold tone, engraved, glued stones", ["gold tone"]),
    ],
)
def test_materials_are_given_as_far_as_they_are_borne(
    make_matter, note: str, material: list[str]
) -> None:
    """Gold without a mark or a test of its karat: 16 CFR 23.3(a); silver as stamped: 23.5."""
    assert schema_org(exported(make_matter(note)))["material"] == material
