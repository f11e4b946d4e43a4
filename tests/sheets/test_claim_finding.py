"""Where a text claims something: the invented claims of `claims_base`, a road in each line."""

from __future__ import annotations

from claims_base import claims_base
from together import every_case

from markrules.sheets.claim_finding import ClaimFinder


def found(text: str) -> list[str]:
    """`claim=words` for each claim found."""
    return [
        f"{claim.name}={text[tokens[it.first].start : tokens[it.after - 1].end]}"
        for claim, tokens, it in FINDER.found(text)
    ]


FINDER = ClaimFinder(claims_base())


@every_case(
    ("text", "claims"),
    [
        ("", []),
        # The longest counts, wherever it begins.
        ("solid gold", ["solid=solid gold"]),
        ("gold", ["gold=gold"]),
        ("GOLD rings of Gold", ["gold=GOLD", "gold=Gold"]),
        ("14k gold", ["karat=14k gold"]),
        # What is said with it takes the claim away, for this claim alone.
        ("gold tone", []),
        ("solid gold tone", ["solid=solid gold"]),
        ("gold in colour", []),
        ("gold, in colour", ["gold=gold"]),
        ("gold tone and gold", ["gold=gold"]),
        ("ruby red gold", ["gold=gold"]),
        # Or is offered as a choice of which one part claims nothing.
        ("a ruby or ruby glass", []),
        ("a ruby or a ruby glass", ["rubies=ruby"]),
        ("ruby and ruby glass", ["rubies=ruby"]),
        ("ruby glass or ruby", ["rubies=ruby"]),
        ("ruby or", ["rubies=ruby"]),
        ("ruby or gold tone", ["rubies=ruby"]),
        # Figures between the two of the claim, both included.
        ("7 k gold", ["gold=gold"]),
        ("8 k gold", ["karat=8 k gold"]),
        ("24 k gold", ["karat=24 k gold"]),
        ("25 k gold", ["gold=gold"]),
        ("8.5 k", ["karat=8.5 k"]),
        ("8,5 k", ["karat=8,5 k"]),
        ("1/2 k", []),
        ("7.9 k", []),
        # Four digits between 1700 and 2099 are a year.
        ("in 1699", []),
        ("in 1700", ["when=1700"]),
        ("in 2099", ["when=2099"]),
        ("in 2100", []),
        ("in 190", []),
        ("in 19001", []),
        ("in 01900", []),
        ("1920 to 1930", ["when=1920 to 1930"]),
        ("1920 to 130", ["when=1920"]),
        # A denial up to two words before, joined to it.
        ("no gold", []),
        ("not real gold", []),
        ("not a real gold", ["gold=gold"]),
        ("no, gold", ["gold=gold"]),
        ("not so, gold", ["gold=gold"]),
        ("not, so gold", ["gold=gold"]),
        ("gold, no", ["gold=gold"]),
        ("never gold", ["gold=gold"]),
        # Further off through words that a denial goes through, six at most.
        ("not even really gold", []),
        ("not a bit even gold", ["gold=gold"]),
        ("not even a bit gold", ["gold=gold"]),
        ("not any even really made of gold", []),
        ("not any even really made of of gold", []),
        ("not any even really made of of of gold", ["gold=gold"]),
        ("not even, really gold", ["gold=gold"]),
        ("even really gold", ["gold=gold"]),
        ("never a gold", []),
        ("never a real gold", []),
        ("a never a gold", []),
        ("not only gold", ["gold=gold"]),
        ("not only a gold", ["gold=gold"]),
        ("no less gold", ["gold=gold"]),
        ("not gold, not only ruby", ["rubies=ruby"]),
        ("not so gold", []),
        # A doubt behind a comma at the end of what is said.
        ("it is gold, i think", []),
        ("it is gold, i think.", []),
        ("it is gold, i think; ruby", ["rubies=ruby"]),
        ("it is gold, i think ruby", ["gold=gold", "rubies=ruby"]),
        ("it is gold; i think", ["gold=gold"]),
        ("ruby; it is gold, i think", ["rubies=ruby"]),
        ("ruby but gold, i think", ["rubies=ruby"]),
        ("ruby, gold, perhaps", ["rubies=ruby"]),
        ("gold a b c d e f g h i j k, perhaps", []),
        ("gold a b c d e f g h i j k l, perhaps", ["gold=gold"]),
        ("perhaps, gold", ["gold=gold"]),
        ("i think gold", ["gold=gold"]),
        # What others say, where it opens a sentence with a comma.
        ("she says, gold", []),
        ("Ruby. She says, gold.", ["rubies=Ruby"]),
        ("she says, gold and ruby", []),
        ("she says, gold. ruby", ["rubies=ruby"]),
        ("she says gold", ["gold=gold"]),
        ("a ring, she says, gold", ["gold=gold"]),
        ("ruby: by all accounts, gold", ["rubies=ruby"]),
        ("gold, she says", ["gold=gold"]),
        # A sentence on such things in general, unless it names what is in hand.
        ("ruby and gold were all the rage", []),
        ("In those days ruby was worn, and gold with it.", []),
        ("this gold was all the rage", ["gold=gold"]),
        ("gold was all the rage here", ["gold=gold"]),
        ("Gold with ruby, which was all the rage.", ["gold=Gold", "rubies=ruby"]),
        ("Gold with a bow, which in ruby and silver was all the rage.", []),
        ("Silver, which ruby in those days had, and gold.", ["silver=Silver", "gold=gold"]),
        ("Gold was all the rage. Ruby!", ["rubies=Ruby"]),
        ("Ruby! Gold was all the rage", ["rubies=Ruby"]),
        ("ruby; gold was all the rage", ["rubies=ruby"]),
        ("This is it. Gold was all the rage.", []),
        ("Most of these were gold.", []),
        ("Most of these here were gold.", ["gold=gold"]),
        ("Quell moved there with gold", []),
        # It goes on for as long as the sentences tell of others.
        ("Gold was all the rage. He sold ruby. The firm had gold.", []),
        ("Gold was all the rage. He sold this ruby.", ["rubies=ruby"]),
        ("Gold was all the rage. Ruby too. He sold gold.", ["rubies=Ruby", "gold=gold"]),
        ("He sold ruby.", ["rubies=ruby"]),
        # Beneath a heading, up to the next field or what is in hand.
        ("History: gold, ruby. Gold. Weight: ruby", ["rubies=ruby"]),
        ("HISTORY\nGold, ruby. This is gold. Ruby.", ["gold=gold", "rubies=Ruby"]),
        ("About Quell: gold. Ruby", []),
        ("Gold. History! Ruby", ["gold=Gold"]),
        ("history of ruby", ["rubies=ruby"]),
        ("a history: ruby", ["rubies=ruby"]),
        ("History: four words and more: ruby", []),
        # Of a bracket that doubts what stands before.
        ("a ruby (was not tested)", []),
        ("a ruby [was not tested], gold", ["gold=gold"]),
        ("a ruby {was not tested}", ["rubies=ruby"]),
        # A family of words in one place, needed or not.
        ("lovely find", ["praised=lovely find"]),
        ("very fine find", ["praised=very fine find"]),
        ("a very fine find", ["praised=very fine find"]),
        ("fine find", []),
        ("sold lovely cheap", ["praised=sold lovely cheap"]),
        ("sold very fine cheap", ["praised=sold very fine cheap"]),
        ("sold cheap", ["praised=sold cheap"]),
        ("sold fine cheap", []),
        ("sold, cheap", []),
        ("lovely, find", []),
        # ~ stands for each way of saying none of.
        ("no chip", ["flawless=no chip"]),
        ("not a chip", ["flawless=not a chip"]),
        ("a chip", []),
        ("never worn", ["flawless=never worn"]),
        # Names.
        ("by Quell", ["whose=by Quell"]),
        ("Quell style", []),
        ("Quellbrook", ["whose=Quellbrook"]),
        ("quellbrook", []),
        ("signed Quell", ["says=signed Quell"]),
        ("of Amber", []),
        ("by Amber", ["whose=by Amber"]),
        ("Although Bangle Amber Ruby", ["rubies=Ruby"]),
        ("Oddment", ["whose=Oddment"]),
        ("Lovely Unsure", []),
        ("by Bangle", ["whose=by Bangle"]),
        ("by Although", ["whose=by Although"]),
        # Two letters are initials of many; three are a name.
        ("by AB", []),
        ("by Oto", ["whose=by Oto"]),
        # Parts of a title name the maker where they stand on a mark; a whole word, four letters.
        ("by Werkstatt", ["whose=by Werkstatt"]),
        ("by Vost", []),
        ("by Krug", []),
        ("by Bern", []),
        ("by Vost, Werkstatt", ["whose=Werkstatt"]),
        ("by Rubina", ["whose=by Rubina"]),
        ("by Rubina Tolle", ["whose=by Rubina Tolle"]),
        ("by Tolle", []),
        ("by Gate", []),
        ("by Gate Keepers", ["whose=by Gate Keepers"]),
        # Advice of the rules, word for word, speaks of other pieces.
        ("Never boil a ruby.", []),
        ("Never boil a ruby. A ruby.", ["rubies=ruby"]),
        ("Never boil a ruby. Never boil a ruby.", []),
        ("Never boil a Ruby.", ["rubies=Ruby"]),
        ("Ruby sells.", ["rubies=Ruby"]),
        ("Ruby dealers ask the law.", []),
        ("Ruby dealers ask the law.Ruby", ["rubies=Ruby"]),
        # What cannot be said, to the end of its clause.
        ("cannot say whether gold", []),
        ("cannot say whether gold or ruby", []),
        ("cannot say whether gold, ruby or silver", []),
        ("cannot say whether gold, ruby", ["rubies=ruby"]),
        ("cannot say whether gold, a big fine ruby or silver", []),
        (
            "cannot say whether gold, a very big fine ruby or silver",
            ["rubies=ruby", "silver=silver"],
        ),
        ("cannot say whether gold but ruby", ["rubies=ruby"]),
        ("cannot say whether gold; ruby", ["rubies=ruby"]),
        ("cannot say whether gold ct. ruby", ["rubies=ruby"]),
        ("cannot say whether a b c d e f g h i j k gold", []),
        ("cannot say whether a b c d e f g h i j k l gold", ["gold=gold"]),
        ("cannot say, whether gold", ["gold=gold"]),
        ("unsure if gold", []),
        # Right before "was not tested", and nothing farther.
        ("gold was not tested", []),
        ("gold, was not tested", ["gold=gold"]),
        ("ruby gold was not tested", ["rubies=ruby"]),
        ("gold ring was not tested", ["gold=gold"]),
        # A choice, a comma, and that it cannot be told.
        ("gold or ruby, i cannot tell", []),
        ("gold, silver or ruby, i cannot tell", []),
        ("gold, i cannot tell", ["gold=gold"]),
        ("gold or ruby; i cannot tell", ["gold=gold", "rubies=ruby"]),
        ("gold or ruby, i cannot tell and more", []),
        ("gold or ruby, i cannot tell but", []),
        ("gold or ruby, i cannot tell its age", ["gold=gold", "rubies=ruby"]),
        ("gold or ruby, i cannot tell.", []),
        ("gold but silver or ruby, i cannot tell", ["gold=gold"]),
        ("gold. silver or ruby, i cannot tell", ["gold=gold"]),
        ("or ruby, i cannot tell", []),
        ("gold a b c d e f g h i or ruby, i cannot tell", []),
        ("gold a b c d e f g h i j or ruby, i cannot tell", ["gold=gold"]),
        (", i cannot tell", []),
    ],
)
def test_what_a_text_claims(text: str, claims: list[str]) -> None:
    assert found(text) == claims
