"""Rule modules of a library: code beside its policy, run only where the caller allows it."""

from __future__ import annotations

import contextlib
import io
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import ModuleType

from attrs import evolve, field, frozen

from .problem import Problem, is_interrupt, said
from .rule import Rule

HOW_TO_ALLOW = "allow it with --house-rules, or house_rules=True in a program,"
MOST_BYTES = 1024 * 1024


@frozen
class HouseModule:
    """A rule module that a policy names; `sha256` is that of the text that ran."""

    path: Path = field(repr=False)
    file: str
    policy: str = ""
    line: int | None = None
    column: int | None = None
    sha256: str = ""

    def problem(self, message: str) -> Problem:
        """A problem of this module, at its own file."""
        return Problem(self.file, message)


@frozen
class HouseRules:
    """The rules of a library's modules, the modules that ran, and what went wrong.

    `complete` is False where some of their rules are not there.
    """

    rules: tuple[Rule, ...] = ()
    modules: tuple[HouseModule, ...] = ()
    problems: tuple[Problem, ...] = ()
    complete: bool = True


def refused(modules: Iterable[HouseModule]) -> Iterator[Problem]:
    """What to say of modules that the caller has not allowed, where the policy names them."""
    for module in sorted(modules, key=lambda module: module.file):
        text = f"{module.file} is code and was not run; {HOW_TO_ALLOW} if you trust it"
        yield Problem(module.policy, text, module.line, module.column)


def run_modules(modules: Iterable[HouseModule]) -> HouseRules:
    """Run each module by itself and collect the rules that it defines.

    One that does not load, exits, prints or defines no rule is a problem, and the others stand.
    """
    rules: list[Rule] = []
    ran: list[HouseModule] = []
    problems: list[Problem] = []
    for module in modules:
        try:
            text = _text(module)
            ran.append(evolve(module, sha256=_sum(text)))
            rules += _rules(module, text)
        except _Unusable as error:
            problems.append(module.problem(str(error)))
    return HouseRules(tuple(rules), tuple(ran), tuple(problems), not problems)


def _sum(text: bytes) -> str:
    import hashlib  # here, because most policies name no module

    return hashlib.sha256(text).hexdigest()


class _Unusable(Exception):
    """Why a module gives no rules."""


def _text(module: HouseModule) -> bytes:
    try:
        with module.path.open("rb") as file:
            text = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise _Unusable(f"the rule module cannot be read: {error.strerror}") from None
    if len(text) > MOST_BYTES:
        raise _Unusable(f"the rule module is larger than {MOST_BYTES:,} bytes")
    return text


def _rules(module: HouseModule, text: bytes) -> tuple[Rule, ...]:
    # what ran is what was hashed; the name is the module's own, so that it hides no other module
    own = _sum(str(module.path).encode() + b"\0" + text)
    name = f"_riglint_house_{own[:24]}"
    made = sys.modules.get(name) or _run(name, module, text)
    # by its type, because a module's own objects may say anything of their class
    given = {id(value): value for value in vars(made).values() if issubclass(type(value), Rule)}
    found = tuple(rule for rule in given.values() if _defined_in(rule, name))
    if not found:
        raise _Unusable("the rule module defines no rule")
    return found


def _defined_in(rule: Rule, name: str) -> bool:
    return str(getattr(rule.check, "__module__", name)) == name


class Printed(io.StringIO):
    """What code of others prints; it stays open, whatever that closes."""

    def close(self) -> None:
        pass


def _run(name: str, module: HouseModule, text: bytes) -> ModuleType:
    made = ModuleType(name)
    made.__file__ = str(module.path)
    printed = Printed()
    sys.modules[name] = made
    try:
        with contextlib.redirect_stdout(printed), contextlib.redirect_stderr(printed):
            exec(compile(text, str(module.path), "exec"), vars(made))  # allowed by the caller
    except BaseException as error:
        sys.modules.pop(name, None)
        if is_interrupt(error):
            raise
        where = _where(error, module.path)
        raise _Unusable(f"the rule module does not load: {said(error)}{where}") from None
    if printed.getvalue():
        sys.modules.pop(name, None)
        raise _Unusable("the rule module prints while it loads; a rule module only defines rules")
    return made


def _where(error: BaseException, path: Path) -> str:
    import traceback

    if isinstance(error, SyntaxError):
        return ""
    own = [step for step in traceback.extract_tb(error.__traceback__) if step.filename == str(path)]
    return f" (line {own[-1].lineno})" if own else ""
