"""A memory that forgets the oldest and changes no answer."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from markrules.inference.memo import Memo


def test_what_was_made_is_kept_until_there_is_no_room() -> None:
    made: list[int] = []

    def make(key: int) -> int:
        made.append(key)
        return key * 10

    memo: Memo[int, int] = Memo(2)
    answers = [memo.get(key, lambda key=key: make(key)) for key in (1, 2, 1, 3, 2, 1)]

    assert answers == [10, 20, 10, 30, 20, 10]
    assert made == [1, 2, 3, 1]


def test_many_threads_get_right_answers() -> None:
    memo: Memo[int, int] = Memo(8)

    def ask(start: int) -> list[int]:
        return [memo.get(key % 40, lambda key=key: (key % 40) ** 2) for key in range(start, 4000)]

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(ask, range(8)))

    for start, found in enumerate(answers):
        assert found == [(key % 40) ** 2 for key in range(start, 4000)]
