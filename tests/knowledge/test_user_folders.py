"""The user's folders are those of the platform (reference: platformdirs)."""

from __future__ import annotations

import platformdirs
import pytest

from markrules.knowledge.places import cache_folder, imported_marks, personal_rules

VARIABLES = ("XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME")


@pytest.mark.parametrize("home", ["/home/some", "/home/with space/", "/", "relative", "", None])
@pytest.mark.parametrize("named", [None, "", "/some", "/else where/", "relative", "~/x", " /x"])
def test_folders_are_where_the_platform_has_them(
    home: str | None, named: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    for variable in ("MARKRULES_RULES", "MARKRULES_CACHE", "MARKRULES_MARKS"):
        monkeypatch.delenv(variable, raising=False)
    for variable, value in (("HOME", home), *((each, named) for each in VARIABLES)):
        if value is None:
            monkeypatch.delenv(variable, raising=False)
        else:
            monkeypatch.setenv(variable, value)

    of = {"appname": "markrules", "appauthor": False}
    assert personal_rules() == platformdirs.user_config_path(**of) / "rules"
    assert cache_folder() == platformdirs.user_cache_path(**of)
    assert imported_marks() == platformdirs.user_data_path(**of) / "marks.sqlite"
