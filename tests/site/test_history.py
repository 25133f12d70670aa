"""What the land carried before: what was found speaks, what nobody tested is unknown."""

import pytest

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.site.history import months_between, read_nematode, survey_history

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
VIRUS = '[history]\nlast_crop = "vines"\nleafroll = "found"\n'
DAGGER = '[[history.nematodes]]\nspecies = "Xiphinema index"\ncount = 12\n'


def history(text):
    return survey_history(parse_brief(SMALLEST + text, "brief.toml"))


def said(text):
    return {finding.message: finding for finding in history(text).findings}


def test_land_that_nobody_tested_is_unknown_and_never_clean():
    land = history("")

    assert set(land.states.values()) == {"untested"}
    assert [f.message for f in land.findings if f.level == "care"] == ["history.untested"]
    assert not any(f.message == "history.not_found" for f in land.findings)
    assert "Phytophthora" in land.findings[0].values["names"]


@pytest.mark.parametrize(
    ("months", "host_free", "message", "level"),
    [
        ('pulled = "2026-05"', "yes", "history.virus_without_fallow", "care"),
        ('pulled = "2025-08"', "no", "history.virus_without_fallow", "care"),
        ('pulled = "2025-08"', "unknown", "history.virus_fallow_unsure", "care"),
        ("", "yes", "history.virus_fallow_unsure", "care"),
        ('pulled = "2025-08"', "yes", "history.virus_fallow_held", "note"),
    ],
)
def test_vines_with_virus_want_a_host_free_fallow(months, host_free, message, level):
    found = said(f'{VIRUS}host_free = "{host_free}"\n{months}\n[work]\nplanting = "2027-08"\n')

    assert found[message].level == level


def test_dagger_nematode_stops_until_fallow_and_rootstock_are_settled():
    open_finding = said(DAGGER)["history.dagger"]
    settled = said(f'[history]\ndagger_settled = "an adviser"\n{DAGGER}')

    assert open_finding.level == "stop"
    assert settled["history.dagger_settled"].level == "care"
    assert not any(finding.level == "stop" for finding in settled.values())


def test_a_count_of_nought_is_a_test_and_no_find():
    land = history(DAGGER.replace("12", "0"))

    assert land.states["nematodes"] == "not found"
    assert not any(finding.level == "stop" for finding in land.findings)


@pytest.mark.parametrize(
    ("species", "group"),
    [
        ("Xiphinema americanum", "dagger"),
        ("X. index", "dagger"),
        ("xiphinima index", "dagger"),
        ("MELOIDOGYNE spp.", "root-knot"),
        ("ring nematode (Criconematidae)", "ring"),
        ("Pratylenchus penetrans", "root-lesion"),
        ("Something new", ""),
    ],
)
def test_nematodes_are_known_by_latin_and_common_names(species, group):
    brief = parse_brief(
        f'{SMALLEST}[[history.nematodes]]\nspecies = "{species}"\ncount = 5\n', "brief.toml"
    )

    assert read_nematode(brief.history.nematodes[0]).group == group


def test_an_unknown_nematode_is_asked_about_and_not_passed_over():
    assert said(DAGGER.replace("Xiphinema index", "Something new"))["history.nematode_unknown"]


def test_a_count_without_laboratory_method_and_date_is_remarked_on():
    complete = f'{DAGGER}laboratory = "a"\nmethod = "b"\ndate = "2026-04-12"\n'

    assert "history.nematode_report_bare" in said(DAGGER)
    assert "history.nematode_report_bare" not in said(complete)


def test_ground_pearls_stop_the_plan():
    assert said('[history]\nground_pearls = "found"\n')["history.ground_pearls"].level == "stop"


@pytest.mark.parametrize(
    ("distance", "upwind", "spoken_of"),
    [(300, "no", True), (800, "no", False), (800, "yes", True), (800, "unknown", True)],
)
def test_sick_vines_next_door_are_spoken_of_by_distance_and_wind(distance, upwind, spoken_of):
    neighbour = (
        f'[[history.neighbours]]\nname = "Oukraal"\ndistance = {distance}\nupwind = "{upwind}"\n'
        'leafroll = "found"\nmealybug = "not found"\n'
    )

    assert ("history.neighbour" in said(neighbour)) is spoken_of


def test_untested_vines_next_door_are_unknown():
    found = said("[[history.neighbours]]\ndistance = 40\n")

    assert found["history.neighbours_untested"].level == "care"


def test_roots_poles_and_wire_are_asked_for_after_vines_only():
    after_vines = said('[history]\nlast_crop = "vines"\nroots_out = "yes"\npoles_out = "no"\n')

    assert after_vines["history.left_in_ground"].values["names"] == "poles"
    assert after_vines["history.unsure_in_ground"].values["names"] == "wire"
    assert "history.unsure_in_ground" not in said('[history]\nlast_crop = "pasture"\n')


@pytest.mark.parametrize(("age", "noted"), [(35, False), (36, True)])
def test_vines_over_thirty_five_years_deserve_a_thought(age, noted):
    assert ("history.old_vines" in said(f"[history]\nvine_age = {age}\n")) is noted


def test_months_are_counted_over_the_turn_of_the_year():
    assert months_between("2025-11", "2027-08") == 21
    assert months_between("", "2027-08") is None


@pytest.mark.parametrize(
    "text",
    [
        '[history]\npulled = "May 2024"\n',
        '[history]\nleafroll = "clean"\n',
        '[[history.nematodes]]\nspecies = "Xiphinema index"\ncount = -1\n',
        "[[history.neighbours]]\nname = 'x'\n",
    ],
)
def test_what_is_no_answer_is_refused_by_its_key(text):
    with pytest.raises(InputError, match="history"):
        history(text)
