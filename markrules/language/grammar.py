"""The grammar, made ready for parsing: Lark's LALR tables in a form that is quick to walk."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, TypeAlias

from markrules.frozen import dataclass
from markrules.named_tuple import NamedTuple

if TYPE_CHECKING:
    from lark import Lark

    from markrules.language.kinds import Key
    from markrules.language.shaping import Shaper


def grammar_text() -> str:
    """The whole grammar: what `grammar.lark` says, and the lines of each kind of entry."""
    # `grammar_sources` reads files without this import, which costs a start 5 ms. Here rules are
    # parsed, which takes far longer, and it would import this module back.
    from importlib.resources import files

    shipped = files("markrules.language").joinpath("grammar.lark").read_text(encoding="utf-8")
    return shipped + "\n".join(_entry_rules())


def _entry_rules() -> Iterator[str]:
    """The rules of all entries and of their lines, from the table of kinds."""
    from markrules.language.kinds import KINDS, SHAPES

    yield _rule(
        "entry", [_block(name, each.named, _rule_name(name)) for name, each in KINDS.items()]
    )
    for word, shape in SHAPES.items():
        name = _rule_name(word)
        yield _rule(f"{name}_lines", [f"{name}_line", f"{name}_lines {name}_line"])
        yield _rule(
            f"{name}_line", [each for key in shape.keys for each in _lines(key, shape.keys[key])]
        )


def _lines(word: str, key: Key) -> Iterator[str]:
    """The ways to write the line of a key."""
    if key.take == "part":
        yield _block(word, key.form, _rule_name(word), always="part")
        return
    form = f"({key.form})" if "|" in key.form else key.form
    yield f'"{word}" {form} NEWLINE'
    if key.denied:
        yield f'"{word}" "not" {form} NEWLINE -> line_not'


def _block(word: str, named: str, name: str, always: str = "") -> str:
    """A line that names something, and lines below it; one with a text after its name is a part."""
    made = always or ("part" if "text" in named else "")
    return f'"{word}" {named} NEWLINE [INDENT {name}_lines DEDENT]' + (made and f" -> {made}")


def _rule(name: str, ways: Sequence[str]) -> str:
    return f"{name}: " + "\n    | ".join(ways)


def _rule_name(word: str) -> str:
    """The name of a rule may hold no hyphen."""
    return word.replace("-", "_")


END = "$END"


class Reduce(NamedTuple):
    """So many values become one: that of the rule `origin`, made by `make`."""

    size: int
    origin: str
    make: Callable[[list[Any]], Any]


# What to do at a terminal: go to a state, or reduce.
Action: TypeAlias = "int | Reduce"


@dataclass(frozen=True, slots=True)
class Grammar:
    """LALR(1) tables by state, what the rules become, and which word is which terminal."""

    actions: Sequence[Mapping[str, Action]]
    gotos: Sequence[Mapping[str, int]]
    start: int
    end: int
    shaper: Shaper
    terminals: Mapping[str, str]
    spellings: Mapping[str, str]


class Stack:
    """A parser at work: the states it went through, and the values made so far."""

    __slots__ = ("_grammar", "states", "values")

    def __init__(self, grammar: Grammar) -> None:
        """A parser at the start of a text."""
        self._grammar = grammar
        self.states = [grammar.start]
        self.values: list[Any] = []

    def actions(self) -> Mapping[str, Action]:
        """What can be done now, by terminal."""
        return self._grammar.actions[self.states[-1]]

    def feed(self, terminal: str, value: object) -> bool:
        """Take one more terminal; False, and the stack in disorder, if it cannot stand here."""
        states, values = self.states, self.values
        actions, gotos = self._grammar.actions, self._grammar.gotos
        while True:
            action = actions[states[-1]].get(terminal)
            if action is None:
                return False
            if type(action) is int:
                states.append(action)
                values.append(value)
                return True
            size, origin, make = action  # type: ignore[misc]
            parts = values[-size:] if size else []
            if size:
                del states[-size:]
                del values[-size:]
            states.append(gotos[states[-1]][origin])
            values.append(make(parts))
            if terminal == END and states[-1] == self._grammar.end:
                return True

    def accepted(self) -> set[str]:
        """The terminals that can really come next: what each completes is looked through."""
        return {terminal for terminal in self.actions() if self._takes(terminal)}

    def _takes(self, terminal: str) -> bool:
        states = self.states[:]
        while (action := self._grammar.actions[states[-1]].get(terminal)) is not None:
            if not isinstance(action, Reduce):
                return True
            del states[len(states) - action.size :]
            states.append(self._grammar.gotos[states[-1]][action.origin])
            if states[-1] == self._grammar.end:
                return True
        return False


@cache
def grammar() -> Grammar:
    """The one grammar of this process; Lark is imported when it is first asked for."""
    from lark.lexer import PatternStr

    from markrules.language.shaping import Shaper

    shaper = Shaper()
    lark = _lark(shaper)
    terminals = {
        str(terminal.pattern.value): str(terminal.name)
        for terminal in lark.terminals
        if isinstance(terminal.pattern, PatternStr)
    }
    spellings = {name: word for word, name in terminals.items()}
    return Grammar(*_tables(lark), shaper, terminals, spellings)


def _lark(shaper: Shaper) -> Lark:
    from lark import Lark
    from lark.lexer import Lexer

    class NoLexer(Lexer):
        """Words come from `lines.py`, which knows how lines go on."""

        __future_interface__ = 1

        def __init__(self, lexer_conf: object) -> None:
            pass

        def lex(self, *_: object) -> Iterator[Any]:
            return iter(())

    return Lark(
        grammar_text(),
        parser="lalr",
        lexer=NoLexer,
        keep_all_tokens=True,
        maybe_placeholders=False,
        transformer=shaper,
    )


def _tables(lark: Lark) -> tuple[list[dict[str, Action]], list[dict[str, int]], int, int]:
    """Actions, gotos, start and end state, with plain words where Lark has objects."""
    made = lark.parse_interactive("").parser_state.parse_conf
    actions: list[dict[str, Action]] = [{} for _ in made.states]
    gotos: list[dict[str, int]] = [{} for _ in made.states]
    kept: dict[int, Reduce] = {}
    for state, row in made.states.items():
        for symbol, (action, target) in row.items():
            if action.name == "Reduce":
                if id(target) not in kept:
                    kept[id(target)] = Reduce(
                        len(target.expansion), str(target.origin.name), made.callbacks[target]
                    )
                actions[state][str(symbol)] = kept[id(target)]
            elif symbol.islower():  # rules are in lower case, terminals in upper
                gotos[state][str(symbol)] = int(target)
            else:
                actions[state][str(symbol)] = int(target)
    return actions, gotos, int(made.start_state), int(made.end_state)
