"""The fuzz run: `python tests/hostile/fuzz/run.py [--inputs N] [--minutes M]`.

Two drivers over one grammar: `hypothesis` draws cases (and shrinks what it finds), `atheris` is led
by the coverage of riglint (`pip install atheris`; Linux). Prints how far the inputs came and what
was found; what was found is written to a folder, to be looked at and kept in
tests/hostile/corpus once it is fixed. Exit status 1 where anything was found.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
import time
from collections import Counter
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1]))

REACHED: Counter[str] = Counter()
FOUND: dict[str, str] = {}
BATCH = 2_000  # what hypothesis remembers of its examples grows
STAGES = ("parse", "structure", "assemble", "rules", "record", "laws", "reports", "command")


def by_hypothesis(inputs: int, seed: int) -> None:
    """Draw cases; the steps of a case are seeds, so that fewer steps are a simpler case."""
    from fuzz.grammar import made, text_of
    from fuzz.oracle import examine, kinds_of_fault
    from hypothesis import HealthCheck, Phase, given, settings
    from hypothesis import seed as seeded
    from hypothesis import strategies as st

    @seeded(seed)
    @settings(
        max_examples=inputs,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.integers(0, 10_000), st.lists(st.integers(0, 2**48), min_size=1, max_size=4))
    def draw(base: int, seeds: list[int]) -> None:
        case = made(base, seeds)
        with kinds_of_fault(FOUND, f"# base {base}, steps {seeds}\n{text_of(case)}"):
            examine(case, REACHED)

    draw()


def by_atheris(inputs: int, seed: int, start: float, end: float) -> None:
    """Let coverage lead; a mutation is a step of the grammar, now and then any change of bytes."""
    import tempfile

    import atheris

    with atheris.instrument_imports(include=["riglint", "riglint_rules"]):
        from fuzz.grammar import case_of, corpus, step, text_of
        from fuzz.oracle import examine, examine_text, kinds_of_fault

    def mutate(data: bytes, most: int, number: int) -> bytes:
        random = Random(number)
        try:
            case = case_of(data.decode())
            if random.random() < 0.03:
                raise ValueError
            step(case, random.getrandbits(48))
            made = text_of(case).encode()
        except (ValueError, RecursionError):
            made = atheris.Mutate(data, most)
        return bytes(made[:most])

    def one(data: bytes) -> None:
        text = data.decode("utf-8", "replace")
        with kinds_of_fault(FOUND, text):
            try:
                case = case_of(text)
            except ValueError:
                examine_text(text, REACHED)
            else:
                examine(case, REACHED)
        if REACHED["inputs"] % BATCH == 0:
            keep()
        if REACHED["inputs"] >= inputs or time.monotonic() > end:
            sys.stderr.flush()
            report(start)  # libFuzzer ends the process itself

    def report(start: float) -> None:
        import os

        status = tell(start)
        sys.stdout.flush()
        os._exit(status)

    with tempfile.TemporaryDirectory() as name:
        for n, case in enumerate(corpus()):
            Path(name, f"{n:03}").write_text(text_of(case), "utf-8")
        arguments = [
            sys.argv[0],
            f"-seed={seed}",
            "-max_len=65536",
            "-timeout=60",
            "-mutate_depth=2",
            name,
        ]
        atheris.Setup([*arguments, "-print_final_stats=1"], one, custom_mutator=mutate)
        atheris.Fuzz()


def name_of(kind: str) -> str:
    return hashlib.sha256(kind.encode()).hexdigest()[:12]


def keep() -> None:
    """Write faults as they are found: a long run need not end to show its first."""
    for kind, text in FOUND.items():
        OUT.mkdir(parents=True, exist_ok=True)
        (OUT / f"{name_of(kind)}.toml").write_text(text, "utf-8")


def tell(start: float) -> int:
    keep()
    total = max(REACHED["inputs"], 1)
    print(f"{total:,} inputs in {time.monotonic() - start:,.0f} s")
    for stage in STAGES:
        print(f"  {stage:10} {REACHED[stage]:>8,}  {REACHED[stage] / total:6.1%}")
    print(f"{len(FOUND)} kinds of fault found")
    for kind in FOUND:
        print(f"  {name_of(kind)}  {kind[:200]}")
    return 1 if FOUND else 0


OUT = Path("fuzz-found")


def main() -> int:
    global OUT
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--driver", choices=["hypothesis", "atheris"], default="hypothesis")
    parser.add_argument("--inputs", type=int, default=10_000)
    parser.add_argument("--minutes", type=float, default=600.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--found", type=Path, default=OUT, metavar="FOLDER")
    options = parser.parse_args()
    OUT, start = options.found, time.monotonic()
    end = start + options.minutes * 60
    if options.driver == "atheris":
        by_atheris(options.inputs, options.seed, start, end)
    else:
        for done in range(0, options.inputs, BATCH):
            if time.monotonic() > end:
                break
            by_hypothesis(min(BATCH, options.inputs - done), options.seed + done)
            keep()
    return tell(start)


if __name__ == "__main__":
    sys.exit(main())
