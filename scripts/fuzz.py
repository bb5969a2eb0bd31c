r"""Give every reader of the program input that is spoiled, and look what happens.

    .venv/bin/python scripts/fuzz.py --inputs 200000 --seed 1
    .venv/bin/python scripts/fuzz.py --inputs 20000 --only quantities --only log

On several processors, a process each with a seed of its own:

    for seed in 1 2; do POINTAGE_CORES=1 .venv/bin/python scripts/fuzz.py \
        --inputs 100000 --seed $seed > fuzz-$seed.json & done; wait

Prints one JSON object: for each reader how many inputs there were and how many were refused, the
worst time and memory, and each failure with the smallest input found. A failure is an exception
other than our own errors, an exit code other than 0 or 2 (`check`: or 1), a status 500, more than
2 s of the processor or more than 200 MB. Ends with status 1 where there was one.
"""

from __future__ import annotations

import argparse
import json
import logging
import sys
import time
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from tests.fuzz.all_readers import all_readers  # noqa: E402
from tests.fuzz.meter import measure  # noqa: E402


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("--inputs", type=int, default=20_000, help="Of all readers together.")
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--only", action="append", help="One reader, by its name; repeatable.")
    wanted = arguments.parse_args()
    logging.disable(logging.CRITICAL)  # what the pages log of a fault is among the failures
    begun, told = time.monotonic(), {}
    readers = [each for each in all_readers() if not wanted.only or each.name in wanted.only]
    shares = sum(each.share for each in readers)
    for reader in readers:
        inputs = max(1, round(wanted.inputs * reader.share / shares))
        found = measure(reader, inputs, Random(f"{wanted.seed} {reader.name}"))
        told[reader.name] = found.as_json()
        reader.close()
        print(f"fuzz: {reader.name}: {json.dumps(told[reader.name])[:2000]}", file=sys.stderr)
    failures = sum(len(each["failures"]) for each in told.values())
    print(json.dumps({
        "inputs": sum(each["inputs"] for each in told.values()), "seed": wanted.seed,
        "seconds": round(time.monotonic() - begun, 1), "failures": failures, "readers": told,
    }, indent=2))  # fmt: skip
    sys.exit(bool(failures))


if __name__ == "__main__":
    main()
