"""How often the 95 % intervals hold the truth, over simulated tests of many hulls.

Run from the top of the checkout: ``python -m tests.bench.coverage --ships 10 --readings 20`` (2 200 tests, about ten
minutes on two cores). It prints the share of intervals that hold the truth for each quantity, each family and both
evaluations; pooled, 95 ± 1.5 % are due.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from heelwright_service.core.documents import from_document
from heelwright_service.core.record import TestRecord
from heelwright_service.core.reduction import Reduced, work_out
from heelwright_service.core.uncertainty import propagation
from heelwright_service.core.uncertainty.assess import prepare_run
from heelwright_service.core.uncertainty.propagation import QUANTITIES

from tests.support.simulator import FAMILIES, Noise, Options, simulate

Hits = dict[str, list[bool]]

SIMULATION_DRAWS = 10_000


def truth_by_quantity(truth: dict[str, Any]) -> dict[str, float]:
    """The true values in the names of the result.

    Parameters
    ----------
    truth : dict
        Truth of a simulated test.

    Returns
    -------
    dict of str to float
        One value for each of `QUANTITIES`.
    """
    inclined = truth["as_inclined"]
    return {
        "displacement_t": inclined["displacement_t"],
        "gm_fluid_m": inclined["gm_fluid_upright_m"],
        "kg_m": inclined["vcg_as_inclined_m"],
        **truth["lightship"],
    }


def intervals(
    reduced: Reduced, evaluations: tuple[str, ...], draws: int, seed: int
) -> dict[str, dict[str, tuple[float, float]]]:
    """The 95 % intervals of a reduction by each evaluation.

    Parameters
    ----------
    reduced : Reduced
        The reduction.
    evaluations : tuple of str
        ``linear`` or ``monte-carlo``.
    draws, seed : int
        Of the simulation.

    Returns
    -------
    dict of dict of tuple
        By evaluation, by quantity: low and high end.
    """
    run, _ = prepare_run(reduced.test, reduced.outcome, reduced.source, reduced.best, None)
    values = propagation.quantities(reduced.outcome, reduced.best)[0]
    found = {}
    for name in evaluations:
        if name == "linear":
            half = propagation.linear(run).half_width()
            ends = np.stack([values - half, values + half])
        else:
            ends = propagation.simulate(run, draws, seed).symmetric
        found[name] = {q: (float(ends[0, i]), float(ends[1, i])) for i, q in enumerate(QUANTITIES)}
    return found


def one_ship(
    family: str,
    seed: int,
    readings: int,
    evaluations: tuple[str, ...],
    draws: int = SIMULATION_DRAWS,
    options: Options | None = None,
) -> dict[str, Hits]:
    """Read one simulated ship many times and note which intervals hold the truth.

    Parameters
    ----------
    family : str
        Hull family.
    seed : int
        The ship's seed.
    readings : int
        How often it is read with fresh errors.
    evaluations : tuple of str
        ``linear`` or ``monte-carlo``.
    draws : int
        Of each simulation.
    options : Options, optional
        How finely the ship is made.

    Returns
    -------
    dict of str to Hits
        By evaluation, by quantity: whether each interval held the truth.
    """
    test = simulate(family, seed, options=options)
    truth = truth_by_quantity(test.truth)
    rng = np.random.default_rng([seed, 7])
    hits: dict[str, Hits] = {name: {quantity: [] for quantity in QUANTITIES} for name in evaluations}
    for _ in range(readings):
        record = from_document(TestRecord, test.noisy(rng, Noise.usual()).record)
        for name, ends in intervals(work_out(record), evaluations, draws, int(rng.integers(1_000_000))).items():
            for quantity, (low, high) in ends.items():
                hits[name][quantity].append(low <= truth[quantity] <= high)
    return hits


def tally(
    ships: int, readings: int, evaluations: tuple[str, ...], families: list[str], workers: int
) -> Iterator[tuple[str, dict[str, Hits]]]:
    """Read many ships in parallel.

    Parameters
    ----------
    ships, readings : int
        Ships a family, readings a ship.
    evaluations : tuple of str
        Evaluations to judge.
    families : list of str
        Hull families.
    workers : int
        Processes.

    Yields
    ------
    tuple of str and dict
        Family and the hits of one of its ships.
    """
    jobs = [(family, 1000 + ship) for family in families for ship in range(ships)]
    with ProcessPoolExecutor(workers) as pool:
        results = pool.map(
            one_ship,
            [job[0] for job in jobs],
            [job[1] for job in jobs],
            [readings] * len(jobs),
            [evaluations] * len(jobs),
        )
        yield from zip([job[0] for job in jobs], results, strict=True)


def main() -> None:
    """Print the table of coverage."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--ships", type=int, default=10)
    parser.add_argument("--readings", type=int, default=20)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--families", nargs="*", default=sorted(FAMILIES))
    parser.add_argument("--evaluations", nargs="*", default=["linear", "monte-carlo"])
    chosen = parser.parse_args()
    evaluations = tuple(chosen.evaluations)
    held: dict[tuple[str, str], Hits] = {}
    for family, hits in tally(chosen.ships, chosen.readings, evaluations, chosen.families, chosen.workers):
        for name in evaluations:
            for key in (family, "pooled"):
                row = held.setdefault((name, key), {quantity: [] for quantity in QUANTITIES})
                for quantity in QUANTITIES:
                    row[quantity] += hits[name][quantity]
    print(f"{'evaluation':12} {'family':14} {'tests':>6} " + " ".join(f"{quantity:>14}" for quantity in QUANTITIES))
    for (name, family), row in held.items():
        shares = " ".join(f"{100.0 * float(np.mean(row[quantity])):13.2f}%" for quantity in QUANTITIES)
        print(f"{name:12} {family:14} {len(row['kg_m']):6} {shares}")


if __name__ == "__main__":
    main()
