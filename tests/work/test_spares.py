"""What is said of the spare vines of a block."""

import pytest

from aanplant.brief import parse_brief
from aanplant.inputs import Inputs, Outline, PastLoss
from aanplant.messages import sentence
from aanplant.work.spares import plan_spares
from aanplant.working import Working

RECORD = ((2400, 61), (3100, 74), (1800, 83), (2600, 57), (2200, 90), (2900, 72))


def spares(loss, *, fit=True, places=3000):
    fitted = 'batch_correlation = "fit"\npast_losses = "past.csv"\n' if fit else ""
    brief = parse_brief(
        '[block]\nboundary = "b.gpx"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
        f"loss_fraction = {loss}\n[spares]\n{fitted}batches = 3\n",
        "brief.toml",
    )
    past = tuple(PastLoss(str(n), vines, dead) for n, (vines, dead) in enumerate(RECORD))
    inputs = Inputs(Outline("b.gpx", "polygon", ()), past_losses=past if fit else ())
    made = plan_spares(brief, inputs, Working("layout.vines", places, "vines", (), "measured"))
    return {finding.message: finding for finding in made.findings}


@pytest.mark.parametrize(("loss", "is_said"), [(0.0, True), (0.03, False), (0.3, True)])
def test_a_loss_that_the_record_does_not_bear_out_is_a_care(loss, is_said):
    # 437 of 15 000 dead, dispersion 8.0: worth 1 874 vines; scipy: Wilson of 55, 2.26 to 3.80 %.
    said = spares(loss)

    assert ("stock.loss_against_record" in said) == is_said
    if is_said:
        text = sentence(said["stock.loss_against_record"])
        assert "2.3\u202f% to 3.8\u202f%" in text
        assert said["stock.loss_against_record"].level == "care"


def test_where_none_is_lost_no_reserve_and_no_bed_is_spoken_of():
    said = set(spares(0.0))

    assert not {"stock.batches_set_reserve", "stock.hold_two_years", "stock.hold_one_year"} & said
    assert "stock.hold_two_years" in spares(0.03)
