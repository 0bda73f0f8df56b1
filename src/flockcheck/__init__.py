"""flockcheck: checks a small flock's setup against cited rules before the birds move out.

    >>> from flockcheck import check, load_rulebook, read_setup     # doctest: +SKIP
    >>> report = check(read_setup("my.flock.yaml"), load_rulebook())  # doctest: +SKIP
    >>> report.verdict                                                # doctest: +SKIP
    'ready'

`solve` is `check` with fixes that were tried on the setup, and with a plan if asked for; `what_if`
gives a setup in which some keys say something else:

    >>> report = solve(setup, rulebook, plan=True, keep=("birds",))   # doctest: +SKIP
    >>> [fix.says for fix in report.plan.fixes]                       # doctest: +SKIP
    ['turn the drinker so that its outlet faces downhill']
    >>> changed, _ = what_if(setup, ["drinkers.0.outlet=downhill"])   # doctest: +SKIP

What is named in `__all__` is public and keeps its meaning; everything else may change. `check` and
`solve` are pure functions: they open nothing and read no clock, so they can run in any pool.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from flockcheck.checkup.check import check
    from flockcheck.checkup.model import Change, Finding, Fix, Plan, Report
    from flockcheck.checkup.solve import solve
    from flockcheck.checkup.whatif import WhatIfError, what_if
    from flockcheck.files import read_setup_file as read_setup
    from flockcheck.hooks import hookimpl
    from flockcheck.measures.graph.spec import measure
    from flockcheck.reports.jsonform import setup_data
    from flockcheck.rulebook.book import Rulebook
    from flockcheck.rulebook.model import RulebookError
    from flockcheck.setup.reader import SetupError
    from flockcheck.setup.reader import read_setup_text as parse_setup
    from flockcheck.setup.view import Missing
    from flockcheck.setup.written import Setup
    from flockcheck.workshop import load_rulebook

__version__ = "0.1.0"
__all__ = [
    "Change",
    "Finding",
    "Fix",
    "Missing",
    "Plan",
    "Report",
    "Rulebook",
    "RulebookError",
    "Setup",
    "SetupError",
    "WhatIfError",
    "__version__",
    "check",
    "hookimpl",
    "load_rulebook",
    "measure",
    "parse_setup",
    "read_setup",
    "setup_data",
    "solve",
    "what_if",
]

# Where each public name lives; each is imported when it is first asked for, since the command line
# needs few of them and a start should be quick.
_HOMES = {
    "Change": ("checkup.model", "Change"),
    "Finding": ("checkup.model", "Finding"),
    "Fix": ("checkup.model", "Fix"),
    "Missing": ("setup.view", "Missing"),
    "Plan": ("checkup.model", "Plan"),
    "Report": ("checkup.model", "Report"),
    "Rulebook": ("rulebook.book", "Rulebook"),
    "RulebookError": ("rulebook.model", "RulebookError"),
    "Setup": ("setup.written", "Setup"),
    "SetupError": ("setup.reader", "SetupError"),
    "WhatIfError": ("checkup.whatif", "WhatIfError"),
    "check": ("checkup.check", "check"),
    "hookimpl": ("hooks", "hookimpl"),
    "load_rulebook": ("workshop", "load_rulebook"),
    "measure": ("measures.graph.spec", "measure"),
    "parse_setup": ("setup.reader", "read_setup_text"),
    "read_setup": ("files", "read_setup_file"),
    "setup_data": ("reports.jsonform", "setup_data"),
    "solve": ("checkup.solve", "solve"),
    "what_if": ("checkup.whatif", "what_if"),
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module flockcheck has no attribute {name}")
    module, inner = _HOMES[name]
    return getattr(import_module(f"flockcheck.{module}"), inner)
