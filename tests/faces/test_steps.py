"""Every step of a calculation sheet can be computed again from the inputs that it shows."""

import math
from pathlib import Path

import pytest

from riglint.ratesheet import rate
from riglint.reports.ratedata import rate_data

BUILDS = sorted((Path(__file__).parents[2] / "examples/northmere/builds").glob("*.toml"))

# EN 818-4:1996+A1:2008, Table 3 (second-hand), by legs and angle from the horizontal
KL = {(2, 45): 1.4, (2, 30): 1.0, (3, 45): 2.1, (3, 30): 1.5}


def number(value):
    if isinstance(value, dict):
        return next(inner for unit, inner in value.items() if unit != "text")
    return [number(one) for one in value] if isinstance(value, list) else value


def computed(formula, inputs):
    names = {name: number(value) for name, value in inputs.items()}
    functions = {
        "sin": lambda deg: math.sin(math.radians(deg)),
        "asin": lambda ratio: math.degrees(math.asin(ratio)),
        "ceil": lambda x: math.ceil(x - 1e-9),
        "KL": lambda n, theta: KL[n, round(theta)],
    }
    functions |= {"min": min, "max": max, "sum": sum, "abs": abs}
    return eval(formula, {"__builtins__": {}}, functions | names)


@pytest.mark.parametrize("build", BUILDS, ids=lambda path: path.stem)
def test_each_step_follows_from_its_inputs(build):
    steps = rate_data(rate(build))["steps"]
    assert steps
    for step in steps:
        again = computed(step["formula"], step["inputs"])
        # inputs are written to four decimals
        assert again == pytest.approx(number(step["value"]), rel=2e-4, abs=2e-3), step
        assert step["source"]


def test_the_last_of_the_rating_steps_is_the_rated_load():
    data = rate_data(rate(BUILDS[0]))
    rated = next(step for step in data["steps"] if step["figure"] == "rated load")
    assert rated["value"] == data["rated_load"]
    assert min(number(rated["inputs"]["allowed"])) == data["rated_load"]["kg"]
