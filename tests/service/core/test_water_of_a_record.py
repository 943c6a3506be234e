"""The water of a record: readings on a described glass, densities stated outright, salinity by a probe."""

from typing import Any

import gsw
import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import Glass, ProbeSample, Water, WaterSample
from heelwright_service.core.water import densities_in_vacuum_t_per_m3, summarise_water

from tests.service.core.checks.records import changed, check, clean, judged

DRAUGHT_SURVEY = Glass("apparent-density")
LOAD_LINE = Glass("relative-density", calibrated_at_c=15.0, reference_water_c=15.0)
IN_VACUUM = Glass("density", calibrated_at_c=20.0)


def density(sample: WaterSample, basis: Any = "vacuum") -> float:
    return densities_in_vacuum_t_per_m3(Water([sample], basis))[0]


def refusal(water: Water) -> CoreError:
    with pytest.raises(CoreError) as caught:
        densities_in_vacuum_t_per_m3(water)
    return caught.value


def test_the_type_on_the_glass_decides_what_a_reading_means() -> None:
    """1.0240 in water of 15 °C: apparent + 0.00105, relative times 0.99910, in vacuum as read (glass of 20 °C)."""
    found = [density(WaterSample(1.0240, temperature_c=15.0, glass=glass)) for glass in (DRAUGHT_SURVEY, LOAD_LINE)]
    assert found[0] == pytest.approx(1.0240 * (1.0 - 0.0012 / 8.0) + 0.0012, abs=1e-9)
    assert found[1] == pytest.approx(1.0240 * gsw.rho_t_exact(0.0, 15.0, 0.0) / 1000.0, abs=1e-9)
    assert density(WaterSample(1.0240, temperature_c=15.0, glass=IN_VACUUM)) == pytest.approx(1.0240 / (1 - 125e-6))


def test_warm_water_swells_the_glass_that_is_read_in_it() -> None:
    """γ = 25e-6/°C: ten degrees are a quarter of a kilogram in a cubic metre of sea water."""
    cold, warm = (density(WaterSample(1.0250, temperature_c=t, glass=DRAUGHT_SURVEY)) for t in (15.0, 25.0))
    assert cold - warm == pytest.approx(1.025 * 250e-6, rel=2e-3)


def test_without_a_glass_the_basis_of_the_record_counts() -> None:
    in_air, in_vacuum = (density(WaterSample(1.0240), basis) for basis in ("air", "vacuum"))
    assert in_vacuum == 1.0240
    assert in_air - in_vacuum == pytest.approx(0.00105, abs=1e-5)


def test_salinity_and_temperature_give_the_density_of_the_reference_library() -> None:
    """Absolute salinity of the reference composition, 35.16504/35 of the practical one (TEOS-10)."""
    found = densities_in_vacuum_t_per_m3(Water([], probe_samples=[ProbeSample(s, t) for s, t in PROBED]))
    expected = [float(gsw.rho_t_exact(s * 35.16504 / 35.0, t, 0.0)) / 1000.0 for s, t in PROBED]
    assert found == pytest.approx(expected, abs=1e-12)


PROBED = [(0.0, 4.0), (5.0, 12.0), (18.3, 9.5), (35.0, 15.0), (38.5, 24.0)]


def test_probe_and_hydrometer_share_the_layers() -> None:
    water = Water([WaterSample(1.0000, depth_m=0.5)], probe_samples=[ProbeSample(35.0, 10.0, depth_m=4.5)])
    found = summarise_water(water, 6.0)
    assert found.weighting == "depth cells"
    assert found.weights == pytest.approx((2.5 / 6.0, 3.5 / 6.0))
    assert found.spread_t_per_m3 == pytest.approx(0.02695, abs=1e-5)
    assert found.spread_matters


def test_air_is_no_basis_for_a_glass_in_vacuum() -> None:
    found = refusal(Water([WaterSample(1.0), WaterSample(1.024, glass=LOAD_LINE)], "air"))
    assert found.code == "density-basis-contradicts-glass"
    assert found.pointer == "/water/samples/1/glass/kind"
    assert density(WaterSample(1.024, glass=DRAUGHT_SURVEY), "air") == density(WaterSample(1.024, glass=DRAUGHT_SURVEY))


@pytest.mark.parametrize(
    ("water", "code", "pointer"),
    [
        (Water([WaterSample(1025.0)]), "reading-out-of-range", "/water/samples/0/density_t_per_m3"),
        (
            Water([WaterSample(1.02, glass=Glass("relative-density"))]),
            "reference-water-missing",
            "/water/samples/0/glass/reference_water_c",
        ),
        (
            Water([WaterSample(1.02, temperature_c=55.0, glass=DRAUGHT_SURVEY)]),
            "temperature-outside-range",
            "/water/samples/0/temperature_c",
        ),
        (
            Water([], probe_samples=[ProbeSample(60.0, 10.0)]),
            "salinity-outside-range",
            "/water/probe_samples/0/practical_salinity",
        ),
        (
            Water([], probe_samples=[ProbeSample(35.0, 50.0)]),
            "temperature-outside-range",
            "/water/probe_samples/0/temperature_c",
        ),
    ],
)
def test_what_cannot_be_water_is_named_in_the_record(water: Water, code: str, pointer: str) -> None:
    found = refusal(water)
    assert (found.code, found.pointer) == (code, pointer)


def test_the_mix_up_of_glasses_is_priced_until_the_glass_is_described() -> None:
    def warned(record: dict[str, Any]) -> bool:
        return any("type stamped on it" in caution for caution in judged(record).cautions)

    record = clean()
    described = [sample | {"glass": {"kind": "density"}} for sample in record["water"]["samples"]]
    assert warned(record)
    assert not warned(changed(record, "water", "samples", to=described))


def test_water_known_by_a_probe_alone_has_no_hydrometer_to_judge() -> None:
    probes = [{"practical_salinity": 33.0, "temperature_c": 12.0, "depth_m": d} for d in (0.5, 1.5, 2.8)]
    record = changed(clean(), "water", to={"samples": [], "probe_samples": probes})
    assert check(record, "R-12").status == "not-assessed"
    assert check(record, "R-10").status == "pass"
    assert check(record, "R-09").status == "pass"
    assert check(record, "R-17").status == "pass"
