"""The price of deviations on a box in closed form (derived here from KG = KM - M·L/(Δ·a) and the moments of masses).

Readings and the line they give are judged on KG as inclined; masses overlooked or forgotten on the lightship's VCG.
"""

from dataclasses import replace

import pytest
from heelwright_service.core.errors import CoreError
from heelwright_service.core.record import Sounding, SoundingPipe, Tank, TankRow
from heelwright_service.core.reduction import reduce_record
from heelwright_service.core.uncertainty.deviation_kinds import KINDS, Deviation
from heelwright_service.core.uncertainty.deviations import price_deviations

from .box import BREADTH_M, DENSITY, DISPLACEMENT_T, DRAUGHT_M, KG_M, KM_M, LENGTH_M, LIGHT_T, box_record

GM_M = KM_M - KG_M


def place(z_m):
    return {"x_m": 25.0, "y_m": 0.0, "z_m": z_m}


def lightship_m(mass_t, z_m):
    """How far a mass at a height takes the computed VCG."""
    return mass_t * (z_m - KG_M) / (LIGHT_T + mass_t)


def km_m(draught_m):
    return draught_m / 2.0 + BREADTH_M**2 / (12.0 * draught_m)


def read_too_deep_m(size_m):
    """KM falls with the draught; GM is inverse to the displacement."""
    deeper = DRAUGHT_M + size_m
    return (km_m(deeper) - GM_M * DRAUGHT_M / deeper) - KG_M


ON_THE_LINE = [
    # what, its size, KG found less KG true [mm] in closed form
    ("weights 1 % light", Deviation("weight-mass", relative=-0.01), -GM_M * (1.0 / 0.99 - 1.0)),
    ("length 10 mm too long", Deviation("instrument-length", size_m=0.01), -GM_M * 0.01 / 4.0),
    ("deflection 2 mm short", Deviation("deflection-short", size_mm=2.0), -GM_M * (1.0 / (1.0 - 2.0 / 134.96) - 1.0)),
    ("3 % of the heel held", Deviation("heel-held", share=0.03), -GM_M * (1.0 / 0.97 - 1.0)),
    ("draught 10 mm too deep", Deviation("draught-reading", size_m=0.01), read_too_deep_m(0.01)),
    ("keel plate of 12 mm", Deviation("draught-reading", size_m=0.012), read_too_deep_m(0.012)),
    ("1.015 taken as 1.025", Deviation("water-density", density_t_per_m3=1.015), GM_M * (1.0 - 1.015 / 1.025)),
    ("100 t·m not there", Deviation("free-surface", free_surface_moment_t_m=100.0), -100.0 / DISPLACEMENT_T),
    (
        "slack tank 5 x 8 m unseen",
        Deviation("free-surface", free_surface_moment_t_m=-DENSITY * 5.0 * 8.0**3 / 12.0),
        DENSITY * 5.0 * 8.0**3 / 12.0 / DISPLACEMENT_T,
    ),
    (
        "slack wing tank 2 x 1.5 m unseen",
        Deviation("free-surface", free_surface_moment_t_m=-DENSITY * 2.0 * 1.5**3 / 12.0),
        DENSITY * 2.0 * 1.5**3 / 12.0 / DISPLACEMENT_T,
    ),
    ("four men walk 8 m", Deviation("people-walk", mass_t=0.32, distance_m=8.0), GM_M * (1.0 - 80.0 / (80.0 + 2.56))),
]

PRINTED_MM = {
    "weights 1 % light": -19,
    "length 10 mm too long": -5,
    "deflection 2 mm short": -28,
    "3 % of the heel held": -58,
    "draught 10 mm too deep": -14,
    "keel plate of 12 mm": -17,
    "1.015 taken as 1.025": 19,
    "100 t·m not there": -79,
    "slack tank 5 x 8 m unseen": 174,
    "slack wing tank 2 x 1.5 m unseen": 0.5,
    "four men walk 8 m": 58,
}
"""What a hand calculation on this box gives, rounded (derived for this project)."""

ON_THE_MASS = [
    ("10 t in a void", Deviation("liquid-unseen", mass_t=10.0, **place(0.4)), lightship_m(10.0, 0.4), -38, 10.0),
    ("3 t in a void", Deviation("liquid-unseen", mass_t=3.0, **place(0.4)), lightship_m(3.0, 0.4), -11, 3.0),
    ("2 t forgotten", Deviation("missing-forgotten", mass_t=2.0, **place(14.0)), lightship_m(-2.0, 14.0), -15, -2.0),
    ("5 t of gear left", Deviation("surplus-overlooked", mass_t=5.0, **place(9.0)), lightship_m(5.0, 9.0), 17, 5.0),
]


def priced(deviation, record=None):
    return price_deviations(record or box_record(), [deviation]).items[0]


@pytest.mark.parametrize(("what", "deviation", "closed_form_m"), ON_THE_LINE, ids=[row[0] for row in ON_THE_LINE])
def test_a_misreading_moves_kg_as_the_closed_form_says(what, deviation, closed_form_m):
    found = priced(deviation)
    assert found.kg_m == pytest.approx(closed_form_m, abs=0.0005)
    assert 1000.0 * found.kg_m == pytest.approx(PRINTED_MM[what], abs=1.0)


@pytest.mark.parametrize(("what", "deviation", "closed_form_m", "printed_mm", "mass_t"), ON_THE_MASS)
def test_a_mass_overlooked_moves_the_lightship_as_the_closed_form_says(
    what, deviation, closed_form_m, printed_mm, mass_t
):
    found = priced(deviation)
    assert found.vcg_m == pytest.approx(closed_form_m, abs=1e-6)
    assert 1000.0 * found.vcg_m == pytest.approx(printed_mm, abs=1.0)
    assert found.mass_t == pytest.approx(mass_t, rel=1e-6)


def test_a_draught_read_too_deep_makes_the_ship_heavier_by_its_share():
    assert priced(Deviation("draught-reading", size_m=0.01)).mass_t == pytest.approx(
        DENSITY * LENGTH_M * BREADTH_M * 0.01, rel=1e-6
    )


@pytest.mark.parametrize(
    ("deviation", "side", "mass_side"),
    [
        (Deviation("heel-held", share=0.03), "unsafe", "neutral"),
        (Deviation("people-walk", mass_t=0.32, distance_m=8.0), "safe", "neutral"),
        (Deviation("missing-forgotten", mass_t=2.0, **place(14.0)), "unsafe", "unsafe"),
        (Deviation("liquid-unseen", mass_t=10.0, **place(0.4)), "unsafe", "safe"),
        (Deviation("free-surface", free_surface_moment_t_m=-0.5), "neutral", "neutral"),
    ],
)
def test_the_side_is_unsafe_where_the_ship_looks_more_stable_or_lighter_than_she_is(deviation, side, mass_side):
    found = priced(deviation)
    assert (found.side, found.mass_side) == (side, mass_side)
    assert found.added_standard_uncertainty_m == pytest.approx(abs(found.vcg_m) / 3.0**0.5)


def test_a_price_is_the_difference_of_two_reductions():
    record = box_record()
    deeper = replace(record, draughts=[replace(one, reading_m=one.reading_m + 0.01) for one in record.draughts])
    before, after = (reduce_record(one, uncertainty="none").lightship for one in (record, deeper))
    found = priced(Deviation("draught-reading", size_m=0.01))
    assert found.mass_t == pytest.approx(after.mass_t - before.mass_t, rel=1e-9)
    assert found.vcg_m == pytest.approx(after.vcg_m - before.vcg_m, abs=1e-9)


def test_one_mark_read_too_deep_costs_less_than_all_of_them():
    one, every = (
        priced(Deviation("draught-reading", size_m=0.01, mark="aft port")),
        priced(Deviation("draught-reading", size_m=0.01)),
    )
    assert 0.0 < one.mass_t < 0.5 * every.mass_t


def tank_record(state, sounding_m):
    box = {"i_t_m4": 5.0 * 4.0**3 / 12.0, "i_l_m4": 4.0 * 5.0**3 / 12.0, "x_m": 25.0, "y_m": 0.0}
    table = [TankRow(s, 20.0 * s, z_m=1.0 + s / 2.0, **box) for s in (0.0, 0.5, 1.0, 1.5, 2.0)]
    tank = Tank("FW 1", 40.0, SoundingPipe(25.0, 0.0, 1.0), table)
    record = box_record()
    sounding = Sounding("FW 1", state, 1.0, sounding_m=sounding_m)
    return replace(record, vessel=replace(record.vessel, tanks=[tank]), soundings=[sounding])


def test_a_tank_taken_as_slack_that_was_pressed_leaves_its_rest_in_the_lightship_and_a_free_surface_deducted():
    """20 m³ of fresh water at 2 m above the tank's bottom and ρ·i_T = 26.67 t·m (derived here)."""
    found = priced(Deviation("tank-pressed", tank="FW 1"), tank_record("slack", 1.0))
    assert found.mass_t == pytest.approx(20.0, rel=1e-6)
    assert found.kg_m == pytest.approx(-(5.0 * 4.0**3 / 12.0) / DISPLACEMENT_T, abs=2e-5)
    assert found.side == "unsafe"


def test_air_in_a_pressed_tank_hides_a_free_surface_on_the_safe_side():
    found = priced(Deviation("pressed-tank-air", tank="FW 1", volume_m3=1.0), tank_record("pressed", 2.0))
    assert found.mass_t == pytest.approx(-1.0, rel=1e-6)
    assert found.kg_m == pytest.approx(5.0 * 4.0**3 / 12.0 / DISPLACEMENT_T, abs=2e-5)


def test_a_tank_sounded_too_deep_makes_the_lightship_lighter():
    """20 m² of tank by 10 mm of fresh water is 0.2 t."""
    found = priced(Deviation("sounding", tank="FW 1", size_m=0.01), tank_record("slack", 1.0))
    assert found.mass_t == pytest.approx(-0.2, rel=1e-3)


def test_a_truck_off_its_mark_in_the_heeled_states_is_its_moment_over_the_whole():
    """10 t half a metre off towards the heel is 5 of 80 t·m (6 %)."""
    starboard = priced(Deviation("mass-out-of-place", mass_t=10.0, distance_m=0.5))
    both = GM_M * (1.0 - 1.0 / (1.0 + 5.0 / 80.0))
    assert 0.3 * both < starboard.kg_m < 0.7 * both


def test_a_truck_off_its_mark_to_port_errs_the_other_way():
    starboard = priced(Deviation("mass-out-of-place", mass_t=10.0, distance_m=0.5))
    port = priced(Deviation("mass-out-of-place", mass_t=10.0, distance_m=-0.5))
    assert (starboard.kg_m > 0.0, port.kg_m > 0.0) == (True, False)
    assert port.kg_m == pytest.approx(-starboard.kg_m, rel=0.1)


def test_wind_in_one_state_counts_as_a_moment_to_starboard():
    """State 1 is the starboard one; 8 of 80 t·m there are 10 % on half of the line."""
    found = priced(Deviation("heeling-moment", moment_t_m=8.0, states=[1]))
    assert found.kg_m == pytest.approx(GM_M * (1.0 - 1.0 / 1.05), rel=0.03)


def test_half_of_the_states_held_costs_about_half():
    one, both = (priced(Deviation("heel-held", share=0.03, side=side)).kg_m for side in ("port", None))
    assert one == pytest.approx(both / 2.0, rel=0.05)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_kind_says_which_size_it_needs(name):
    kind = KINDS[name]
    assert kind.text
    if not kind.needs:
        return
    with pytest.raises(CoreError) as refused:
        price_deviations(box_record(), [Deviation(name)])
    assert refused.value.code == "deviation-size-missing"
    assert refused.value.pointer == f"/deviations/0/{kind.needs[0]}"


@pytest.mark.parametrize(
    ("deviation", "code", "pointer"),
    [
        (Deviation("luck"), "deviation-unknown", "/deviations/0/kind"),
        (Deviation("heel-held", share=0.03, mass_t=1.0), "deviation-size-foreign", "/deviations/0/mass_t"),
        (Deviation("sounding", tank="FW 9", size_m=0.1), "deviation-names-nothing", "/deviations/0/tank"),
        (Deviation("heel-held", share=0.1, states=[9]), "deviation-names-nothing", "/deviations/0/states"),
        (Deviation("heel-held", share=0.1, instrument="P9"), "deviation-names-nothing", "/deviations/0/instrument"),
    ],
)
def test_a_deviation_that_means_nothing_here_is_refused_by_name(deviation, code, pointer):
    with pytest.raises(CoreError) as refused:
        price_deviations(box_record(), [deviation])
    assert (refused.value.code, refused.value.pointer) == (code, pointer)


def test_a_survey_has_masses_priced_but_no_height():
    survey = replace(box_record(), states=(), readings=(), instruments=(), inclining_weights=())
    found = priced(Deviation("liquid-unseen", mass_t=10.0, **place(0.4)), survey)
    assert found.mass_t == pytest.approx(10.0)
    assert found.vcg_m is None
    assert found.added_standard_uncertainty_m is None
    with pytest.raises(CoreError, match="lightweight survey"):
        priced(Deviation("heel-held", share=0.03), survey)
