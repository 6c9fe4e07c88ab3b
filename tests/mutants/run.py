"""``make mutants``: change the code a little, see whether a test notices, and say where none does.

All of it happens in a copy of the tree in a temporary folder, so stopping it at any moment leaves nothing changed.
"""

import argparse
import contextlib
import os
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.mutants.equivalent import Equivalent, is_equivalent, read_list
from tests.mutants.mutations import Mutation, choose
from tests.mutants.plan import Target, targets
from tests.mutants.trial import Outcome, run_tests, warm_up

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT = (".git", ".venv", "var", "__pycache__", "node_modules")
# What is made once and read by pages: the typeface and the sentences in Spanish.
MADE = ("static", "locale")


class Unmeasured(Exception):
    """The tests of a module fail, or take too long, before anything is changed."""


@dataclass
class Score:
    target: Target
    mutants: int = 0
    killed: int = 0
    equivalent: int = 0
    survivors: list[Mutation] = field(default_factory=list)
    seconds: float = 0

    @property
    def percent(self) -> int:
        """Of what is not equivalent, rounded down; 100 where there was nothing to kill."""
        asked = self.mutants - self.equivalent
        return 100 * self.killed // asked if asked else 100

    @property
    def reached(self) -> bool:
        return self.percent >= self.target.goal


def main(words: Sequence[str] | None = None) -> int:
    args = _arguments(words)
    tree = Path(args.tree).resolve()
    chosen = targets(tree, args.modules)
    if not chosen:
        print(f"There is nothing to change under {' '.join(args.modules)}.", file=sys.stderr)
        return 2
    if args.plan:
        for target in chosen:
            print(target.module, *target.pure, *target.served)
        return 0
    known = read_list(tree / "tests" / "mutants" / "equivalent.toml")
    trouble = 0
    print(f"{'module':50} {'mutants':>7} {'killed':>6} {'equivalent':>10} {'survived':>8} {'score':>6}", flush=True)
    with _copy_of(tree) as copy, _servers(any(target.served for target in chosen)):
        warm_up()
        scores = []
        for target in chosen:
            try:
                score = measure(copy, target, count=args.n, seed=args.seed, known=known, verbose=args.verbose)
            except Unmeasured as reason:
                trouble = 1
                print(f"{target.module:50} {reason}", flush=True)
                continue
            scores.append(score)
            _show(score)
    _show_sums(scores)
    return trouble or int(not all(score.reached for score in scores))


def measure(
    tree: Path, target: Target, *, count: int, seed: str, known: list[Equivalent], verbose: bool = False
) -> Score:
    """Change one module of ``tree`` up to ``count`` times and put it back. Raises Unmeasured."""
    path = tree / target.module
    source = path.read_text()
    mutations = choose(source, count, f"{seed}:{target.module}")
    score = Score(target)
    begun = time.monotonic()
    if mutations:
        bench = _Bench(tree, target)
        for mutation in mutations:
            score.mutants += 1
            if is_equivalent(target.module, mutation, known):
                score.equivalent += 1
                continue
            noticed = bench.notices(path, mutation.apply(source))
            if noticed:
                score.killed += 1
            else:
                score.survivors.append(mutation)
            if verbose:
                print(f"  {'killed  ' if noticed else 'SURVIVED'} {_place(target, mutation)}", flush=True)
        bench.check_again()
    score.seconds = time.monotonic() - begun
    return score


class _Bench:
    """The tests of one module, and how long each part of them may take.

    The plain ones come first: the database is asked only about what they have not noticed.
    """

    def __init__(self, tree: Path, target: Target) -> None:
        self.tree = tree
        self.parts = [(pure, files) for pure, files in ((True, target.pure), (False, target.served)) if files]
        self.most: dict[bool, float] = {}
        self.new_database = False
        if not self.parts:
            raise Unmeasured("no test names it: give it one, or a line in tests/mutants/plan.py")

    def notices(self, path: Path, mutant: str) -> bool:
        """Whether a test fails, or never ends, while ``mutant`` stands in ``path``."""
        source = path.read_text()
        for pure, files in self.parts:
            if pure not in self.most:
                self._check(pure, files)
            path.write_text(mutant)
            try:
                outcome = self._run(pure, files, self.most[pure])
            finally:
                path.write_text(source)
            if outcome.code != 0:
                return True
        return False

    def check_again(self) -> None:
        """A mutant may have left something in the database that fails every test after it."""
        for pure, files in self.parts:
            if not pure and pure in self.most:
                self._check(pure, files)

    def _check(self, pure: bool, files: Sequence[str]) -> None:
        """The unchanged code passes; the time that it takes is the measure for the mutants'."""
        outcome = self._run(pure, files, 600)
        if outcome.code != 0:
            raise Unmeasured(f"its tests fail without any change: {' '.join(files)}\n{outcome.said}")
        self.most.setdefault(pure, 10 + 6 * outcome.seconds)

    def _run(self, pure: bool, files: Sequence[str], seconds: float) -> Outcome:
        more = ["--create-db"] if self.new_database and not pure else []
        outcome = run_tests(self.tree, files, pure=pure, seconds=seconds, more=more)
        if not pure:
            # Whoever is killed leaves half of what it wrote in the database.
            self.new_database = outcome.code is None
        return outcome


@contextlib.contextmanager
def _copy_of(tree: Path) -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="whistlestop-mutants-"))
    try:
        copy = folder / "tree"
        shutil.copytree(tree, copy, ignore=shutil.ignore_patterns(*LEFT_OUT))
        for name in MADE:
            if (tree / "var" / name).exists():
                shutil.copytree(tree / "var" / name, copy / "var" / name)
        yield copy
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def _servers(needed: bool) -> Iterator[None]:
    """Throw-away servers for all of the run, where any of its tests needs them."""
    if not needed:
        yield
        return
    from tests import servers

    try:
        servers.start_servers()
        yield
    finally:
        servers.pytest_unconfigure()


def _place(target: Target, mutation: Mutation) -> str:
    return f"{target.module}:{mutation.line}: {mutation.change}"


def _line(name: str, scores: Sequence[Score]) -> str:
    mutants, killed = sum(one.mutants for one in scores), sum(one.killed for one in scores)
    equivalent, survived = sum(one.equivalent for one in scores), sum(len(one.survivors) for one in scores)
    percent = 100 * killed // (mutants - equivalent) if mutants > equivalent else 100
    return f"{name:50} {mutants:7} {killed:6} {equivalent:10} {survived:8} {percent:4} %"


def _show(score: Score) -> None:
    below = "" if score.reached else f"  below {score.target.goal} %"
    print(f"{_line(score.target.module, [score])}{below}  {score.seconds:.0f} s", flush=True)
    for mutation in score.survivors:
        print(f"    {_place(score.target, mutation)}", flush=True)


def _show_sums(scores: Sequence[Score]) -> None:
    for name in ("rules", "services"):
        of_kind = [score for score in scores if f"/{name}/" in score.target.module]
        if of_kind:
            print(_line(f"all {name}", of_kind))


def _arguments(words: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="make mutants", description=__doc__)
    parser.add_argument("modules", nargs="*", help="such as people/rules/standing.py or people/rules; all without")
    parser.add_argument("--seed", default="1", help="another one makes other changes")
    parser.add_argument("-n", type=int, default=40, help="the most changes of one module")
    parser.add_argument("--tree", default=str(ROOT), help="where the code stands")
    parser.add_argument("--plan", action="store_true", help="say which tests each module meets, and stop")
    parser.add_argument("--verbose", action="store_true", help="a line for every mutant")
    return parser.parse_args(words)


if __name__ == "__main__":
    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, lambda received, frame: sys.exit(128 + received))
    with contextlib.suppress(KeyboardInterrupt):
        sys.exit(main())
    os._exit(130)
