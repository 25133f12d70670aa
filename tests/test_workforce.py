import pytest

from aanplant.errors import InputError
from aanplant.estate import parse_estate


@pytest.mark.parametrize(
    ("text", "where", "found"),
    [
        ("[labour]\nwage = -3", "labour.wage", "-3"),
        ('[labour]\nwage = "much"', "labour.wage", "'much'"),
        ('[[crews]]\nname = "a"\npeople = 0', "crews.0.people", "0"),
        ("[calendar]\nwork_days = []", "calendar.work_days", "no day of the week"),
        ('[calendar]\nholidays = "South"', "calendar.holidays", "'South'"),
        ('[calendar]\nshutdown = [["12-32", "01-05"]]', "calendar.shutdown.0.0", "'12-32'"),
        (
            '[[tasks]]\nid = "a"\nearliest = "2027-02-02"\nlatest = "2027-02-01"',
            "tasks.0",
            "a window of no days",
        ),
        ('[[tasks]]\nid = "a"\n[[tasks]]\nid = "a"', "the brief", "the task 'a' twice"),
        ("[machines.ripper]\ncont = 2", "machines.ripper.cont", "an unknown key"),
    ],
)
def test_what_cannot_work_is_refused_by_its_key(text, where, found):
    with pytest.raises(InputError) as refused:
        parse_estate(text, "estate.toml")

    assert refused.value.where == f"estate.toml: {where}"
    assert found in refused.value.found


def test_an_estate_says_who_works_with_what_and_when():
    estate = parse_estate(
        "[labour]\nwage = 35.5\n[labour.norms]\nplant = 0.05\n"
        '[[crews]]\nname = "planters"\npeople = 8\nfrom = 2027-06-01\n'
        '[machines.ripper]\nspeed = "3 km/h"\nwidth = "2.5 m"\n'
        '[calendar]\nholidays = "ZA"\nshutdown = [["12-15", "01-05"]]\n',
        "estate.toml",
    )

    assert estate.labour.norms == {"plant": 0.05}
    assert estate.crews[0].start is not None
    assert estate.crews[0].start.isoformat() == "2027-06-01"
    assert estate.machines["ripper"].count == 1
    assert estate.calendar.shutdown == (("12-15", "01-05"),)
