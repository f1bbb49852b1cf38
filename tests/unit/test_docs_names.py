"""Names on the pages: commands and options, functions and modules, and the pages themselves."""

import re

from gradevol.cli import COMMANDS, main
from tests.unit.test_docs import DOCS, PACKAGE, PAGES, README, ROOT, text_of

#: What has changed goes by the names of its day.
NOW = [page for page in PAGES if page.name != "changes.md"]
#: What the name of a function begins with, and no key does.
VERBS = "build|compose|describe|draw|find|fit|integrate|measure|parse|read|tell|write"


def test_commands_and_options_that_pages_name_are_there():
    options = {}
    for command in COMMANDS:
        made = main.get_command(main.make_context("gradevol", [command]), command)
        assert made is not None
        options[command] = {"--help", *(name for each in made.params for name in each.opts)}
    called = r"(?:^|`|bin/| {4})gradevol ([a-z]+)((?: [^\s`|&#]+)*)"
    named = [
        (page.name, command, set(re.findall(r" (--[a-z-]+)", rest)))
        for page in NOW
        for command, rest in re.findall(called, text_of(page), re.M)
    ]
    assert len(named) > 80
    assert not [each for each in named if not each[2] <= options.get(each[1], set())]
    quoted = [re.findall(r"(?:`|bin/)gradevol ([a-z]+)", text_of(page)) for page in NOW]
    assert {command for commands in quoted for command in commands} == set(COMMANDS)


def test_functions_that_pages_name_are_there():
    homes: dict[str, set[str]] = {}
    for path in PACKAGE.rglob("*.py"):
        module = path.parent.name if path.stem == "__init__" else path.stem
        for name in re.findall(r"^def (\w+)", text_of(path), re.M):
            homes.setdefault(name, set()).add(module)
    named_function = rf"`(?:gradevol\.)?(?:\w+\.)*?(?:(\w+)\.)?((?:{VERBS})_\w+)[`(]"
    named = [
        (page.name, module, name)
        for page in NOW
        for module, name in re.findall(named_function, text_of(page))
    ]
    assert len(named) > 10
    astray = [
        each for each in named if each[2] not in homes or each[1] not in {"", *homes[each[2]]}
    ]
    assert not astray


def test_modules_that_pages_name_are_there():
    there = [
        path.as_posix()
        for folder in ("gradevol", "docs", "sample_surveys", "tests")
        for path in (ROOT / folder).rglob("*.py")
    ]
    named = [
        (page.name, name)
        for page in NOW
        for name in re.findall(r"`(?:python )?([\w/]+\.py)\b", text_of(page))
    ]
    assert len(named) > 50
    assert not [each for each in named if not any(path.endswith(f"/{each[1]}") for path in there)]


def test_every_page_is_found_from_the_readme_and_in_the_list_of_the_site():
    pages = {path.relative_to(DOCS).as_posix() for path in DOCS.rglob("*.md")}
    linked = set(re.findall(r"\]\(docs/([\w/-]+\.md)", text_of(README)))
    assert pages - linked == {"index.md"}
    assert pages == set(re.findall(r"[\w/-]+\.md$", text_of(ROOT / "mkdocs.yml"), re.M))
