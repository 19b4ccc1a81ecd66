"""Documents say what the program does, and lead where they say they lead."""

from __future__ import annotations

import importlib
import re
import shlex
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer

from partline.interfaces.cli.main import app
from tools import make_docs

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
DECISIONS = sorted((DOCS / "decisions").glob("*.md"))
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md")])
CLI = typer.main.get_command(app)


def ids(path: Path) -> str:
    return str(path.relative_to(ROOT))


# --- generated pages --------------------------------------------------------------------------


def test_the_command_line_page_is_what_the_program_prints():
    page = (DOCS / "reference" / "command-line.md").read_text("utf-8")
    assert page == make_docs.command_line(), "Run `make docs`."


def all_commands() -> Iterator[str]:
    """Every command; of a group its own commands too, as ``run show``."""
    for name, command in CLI.commands.items():  # type: ignore[attr-defined]
        yield name
        yield from (f"{name} {inner}" for inner in getattr(command, "commands", ()))


def test_the_command_line_page_holds_every_command():
    assert set(make_docs.COMMANDS) == {"", *all_commands()}


def published() -> Iterator[tuple[str, str, str]]:
    """Law, source and place of every published check, as the page calls them."""
    for path in sorted((ROOT / "tests" / "published").glob("test_*.py")):
        module = importlib.import_module(f"tests.published.{path.stem}")
        for name, function in vars(module).items():
            marks = [*getattr(module, "pytestmark", []), *getattr(function, "pytestmark", [])]
            if name.startswith("test_"):
                for mark in marks:
                    if mark.name == "published":
                        kwargs = {key: str(value) for key, value in mark.kwargs.items()}
                        law = make_docs.law_of(f"{path.name}::{name}", kwargs)
                        yield law, kwargs["source"], kwargs["where"]


def test_the_verification_page_lists_every_published_check():
    page = (DOCS / "verification.md").read_text("utf-8")
    rows = {
        tuple(cell.strip() for cell in line.strip("|").split("|")[:3])
        for line in page.splitlines()
        if line.startswith("| ") and not line.startswith("| what |")
    }
    assert rows == set(published()), "Run `make docs`."


# --- links -----------------------------------------------------------------------------------


def prose(text: str) -> str:
    """The page without its blocks of code."""
    return re.sub(r"```.*?```", "", text, flags=re.DOTALL)


def anchors(path: Path) -> set[str]:
    """Names that headings can be linked by."""
    heads = re.findall(r"^#+ (.+)$", prose(path.read_text("utf-8")), flags=re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=ids)
def test_every_link_leads_somewhere(page):
    for target in re.findall(r"\]\(([^)\s]+)\)", prose(page.read_text("utf-8"))):
        if "://" in target:
            continue
        name, _, anchor = target.partition("#")
        goal = (page.parent / name).resolve() if name else page
        assert goal.exists(), f"{target} in {ids(page)}"
        assert goal.is_relative_to(ROOT), f"{target} in {ids(page)} leaves the project"
        if anchor:
            assert anchor in anchors(goal), f"{target} in {ids(page)}"


def test_every_page_can_be_reached_from_the_readme():
    seen, waiting = set(), [ROOT / "README.md"]
    while waiting:
        page = waiting.pop()
        if page in seen:
            continue
        seen.add(page)
        for target in re.findall(r"\]\(([^)\s#]+)", prose(page.read_text("utf-8"))):
            goal = (page.parent / target).resolve()
            if goal.is_dir():
                waiting += goal.glob("*.md")
            elif goal.suffix == ".md" and goal.exists():
                waiting.append(goal)
    assert {ids(page) for page in PAGES} - {ids(page) for page in seen} == set()


# --- what pages name in the code ----------------------------------------------------------------


def named_tests(text: str) -> list[tuple[str, str]]:
    return re.findall(r"`(tests/[\w/.-]+?)(?:::(\w+))?`", text)


@pytest.mark.parametrize("page", PAGES, ids=ids)
def test_every_test_and_file_that_a_page_names_is_there(page):
    text = page.read_text("utf-8")
    for path, name in named_tests(text):
        assert (ROOT / path).exists(), f"{path} in {ids(page)}"
        if name:
            assert f"def {name}(" in (ROOT / path).read_text("utf-8"), f"{name} in {ids(page)}"
    for path in re.findall(r"`((?:benchmarks|tools|examples|docs)/[\w/.-]+)`", text):
        assert (ROOT / path).exists(), f"{path} in {ids(page)}"


def is_there(dotted: str) -> bool:
    """Whether a name such as ``process.rendering.Renderer`` leads to something in the package."""
    parts = dotted.split(".")
    for cut in range(len(parts), 0, -1):
        try:
            thing: object = importlib.import_module(".".join(["partline", *parts[:cut]]))
        except ImportError:
            continue
        for part in parts[cut:]:
            if not hasattr(thing, part):
                return False
            thing = getattr(thing, part)
        return True
    return False


ROOMS = "interfaces|services|records|studies|process|physics|materials|data|numerics|quantities"


@pytest.mark.parametrize("page", [DOCS / "tour.md", *DECISIONS], ids=ids)
def test_every_function_that_a_walk_or_a_decision_names_is_there(page):
    text = page.read_text("utf-8")
    for dotted in re.findall(rf"`(?:partline\.)?((?:{ROOMS})(?:\.\w+)+)", text):
        assert is_there(dotted), f"{dotted} in {ids(page)}"
    for path in re.findall(rf"`((?:{ROOMS})/[\w/]+\.py)`", text):
        assert (ROOT / "src" / "partline" / path).exists(), f"{path} in {ids(page)}"


# --- decisions -----------------------------------------------------------------------------------


def contracts() -> set[str]:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    return {each["name"] for each in settings["tool"]["importlinter"]["contracts"]}


def test_decisions_are_numbered_without_a_gap():
    assert [path.name[:4] for path in DECISIONS] == [
        f"{number:04}" for number in range(1, len(DECISIONS) + 1)
    ]


@pytest.mark.parametrize("page", DECISIONS, ids=ids)
def test_a_decision_says_context_options_decision_and_consequences(page):
    text = page.read_text("utf-8")
    assert text.startswith(f"# {page.name[:4]} ")
    for part in ("Context", "Options", "Decision", "Consequences"):
        assert f"\n**{part}.** " in text, part


@pytest.mark.parametrize("page", DECISIONS, ids=ids)
def test_every_decision_is_confirmed_by_something_that_exists(page):
    confirmation = page.read_text("utf-8").split("\n## Confirmation\n")[1]
    named = re.findall(r"“([^”]+)”", confirmation)
    assert set(named) <= contracts()
    assert named or named_tests(confirmation)


# --- commands ------------------------------------------------------------------------------------


def shell_lines() -> Iterator[tuple[Path, list[str]]]:
    for page in PAGES:
        for block in re.findall(r"```sh\n(.*?)```", page.read_text("utf-8"), flags=re.DOTALL):
            for line in block.replace("\\\n", " ").splitlines():
                words = shlex.split(line, comments=True)
                if words:
                    yield page, words


def test_pages_show_commands_at_all():
    assert len(list(shell_lines())) >= 5


@pytest.mark.parametrize(
    ("page", "words"),
    list(shell_lines()),
    ids=lambda each: "" if isinstance(each, Path) else " ".join(each)[:40],
)
def test_every_command_on_a_page_is_one_the_program_takes(page, words):
    if words[0] == "make":
        makefile = (ROOT / "Makefile").read_text("utf-8")
        assert re.search(rf"^{words[1]}:", makefile, flags=re.MULTILINE), words
        return
    assert words[0] == "partline", f"{words} in {ids(page)}"
    command, rest = CLI.commands[words[1]], words[2:]  # type: ignore[attr-defined]
    if hasattr(command, "commands"):  # a group: its own command says what it takes
        command, rest = command.commands[rest[0]], rest[1:]
    # Parses names, options and required ones, and runs nothing.
    with command.make_context(words[1], list(rest)) as context:
        assert context.params
    for word in words[2:]:
        if word.startswith("examples/"):
            assert (ROOT / word).exists(), f"{word} in {ids(page)}"


# --- examples in text ----------------------------------------------------------------------------


def example_documents() -> Iterator[tuple[Path, str]]:
    for page in sorted((DOCS / "how-to").glob("*.md")):
        for block in re.findall(r"```toml\n(.*?)```", page.read_text("utf-8"), flags=re.DOTALL):
            yield page, block


@pytest.mark.parametrize(
    ("page", "block"),
    list(example_documents()),
    ids=lambda each: each.stem if isinstance(each, Path) else "",
)
def test_every_file_shown_in_a_how_to_is_a_good_one(page, block):
    from partline.records.exchange import read_document, write_document

    assert write_document(read_document(block))
