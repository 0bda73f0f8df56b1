"""Write the pages of the rules, `docs/rules/`, made from the rule files and the measures.

`python docs/make/rule_pages.py` writes them all and takes away those whose rule is gone; another
folder may be named. Only the openings of the indexes are written by hand.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from book_pages import by_source, measures_page, readme, tables_page
from one_rule import rule_page

from flockcheck.plugins import gather, registry_of
from flockcheck.rulebook.book import Rulebook, load_books
from flockcheck.text.document import plain, read_document

ROOT = Path(__file__).resolve().parents[2]
RULES = ROOT / "rules"
PAGES = ROOT / "docs" / "rules"


def rulebook() -> Rulebook:
    """The built-in book alone, whatever plugins are installed beside it."""
    return load_books([("flockcheck_rules", str(RULES))], registry_of(gather()), version="0")


def written() -> dict[str, dict[str, Any]]:
    """Every table as its file has it."""
    found: dict[str, dict[str, Any]] = {}
    for path in sorted((RULES / "tables").glob("*.yaml")):
        table = plain(read_document(path.read_text(encoding="utf-8")))
        found[table["table"]] = table
    return found


def pages() -> dict[str, str]:
    """Every page by its path below the folder."""
    book = rulebook()
    made = {
        "README.md": readme(book),
        "by-source.md": by_source(book),
        "measures.md": measures_page(book),
        "tables.md": tables_page(book, written()),
    }
    for rule in book.rules.values():
        file = RULES / rule.topic / f"{rule.name}.yaml"
        made[f"{rule.topic}/{rule.name}.md"] = rule_page(rule, book, file.read_bytes())
    return made


def write(folder: Path) -> None:
    """Write the pages below a folder, and take away others that stand there."""
    made = pages()
    for path in sorted(folder.rglob("*.md")):
        if path.relative_to(folder).as_posix() not in made:
            path.unlink()
    for name, text in made.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else PAGES)
