"""The command recut, and the body of a lens in power."""


import pytest
from called import answer, lenscalc


def test_power_tells_the_body_where_the_diameter_is_given():
    lens = ["power", "--front-radius-mm", "2.25", "--back-radius-mm", "plano", "--center-thickness-mm", "2", "--n-lens", "1.49"]
    a = answer(*lens, "--optic-diameter-mm", "6", "--front-conic", "-1", "--density-kg-per-m3", "1200")
    # a paraboloid is half of its cylinder: 9π mm³
    assert (round(a["volume_mm3"], 6), round(a["mass_mg"], 5)) == (28.274334, 33.9292)
    assert "volume_mm3" not in answer(*lens)


RECUT = ["recut", "--n-lens", "1.536"]


def test_recut_gives_the_radii_and_their_tools():
    # thin, n − m = 0.2: R = 400/F
    a = answer(*RECUT, "--power-D", "21", "--center-thickness-mm", "0", "--radius-increment-mm", "0.5")
    assert round(a["front_radius_mm"], 6) == round(400 / 21, 6)
    assert (a["front_tool_mm"], a["back_tool_mm"]) == (19.0, -19.0)
    assert round(a["rounding_cost_D"], 6) == round(400 / 19 - 21, 6)
    assert a["caution"]
    flat = answer(*RECUT, "--power-D", "20", "--center-thickness-mm", "0.9", "--shape-factor", "1")
    assert (round(flat["front_radius_mm"], 9), flat["back_radius_mm"]) == (10.0, "plano")
    edged = answer(*RECUT, "--power-D", "20", "--wanted-edge-thickness-mm", "0.3", "--optic-diameter-mm", "6")
    assert round(edged["edge_thickness_mm"], 9) == 0.3
    assert edged["volume_mm3"] > 0


def test_recut_prints_a_ladder_with_what_cannot_be_made():
    ladder = [*RECUT, "--power-D", "10", "--to-power-D", "200", "--step-D", "10", "--wanted-edge-thickness-mm", "0.3", "--optic-diameter-mm", "6"]
    a = answer(*ladder, "--radius-increment-mm", "0.01")
    assert a["power_D"][:3] == [10.0, 20.0, 30.0]
    assert len(a["front_radius_mm"]) == len(a["rounding_cost_D"]) == len(a["problem"]) == 20
    assert a["front_radius_mm"][-1] is None
    assert "cannot be reached" in a["problem"][-1]
    done = lenscalc(*ladder)
    assert done.returncode == 0
    for word in ("cannot be made, see below", "200 D: power_D = 200 D cannot be reached", "Not a medical device"):
        assert word in " ".join(done.stdout.split())


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["--power-D", "20"], "give either center_thickness_mm or wanted_edge_thickness_mm"),
        (["--power-D", "300", "--center-thickness-mm", "6"], "cannot be reached"),
        (["--power-D", "20", "--center-thickness-mm", "0.9", "--step-D", "1"], "go together"),
        (["--power-D", "20", "--center-thickness-mm", "0.9", "--shape-factor", "0", "--front-radius-mm", "10"], "one of them is held"),
        (["--power-D", "20", "--wanted-edge-thickness-mm", "300"], "is it in µm?"),
    ],
)
def test_recut_says_in_one_line_what_cannot_be(args, told):
    done = lenscalc(*RECUT, *args)
    assert done.returncode == 2
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_recut_corrects_existing_tools():
    tools = ["recut", "--n-lens-before", "1.49", "--n-lens", "1.4915", "--front-radius-mm", "12", "--center-thickness-mm", "0.9"]
    a = answer(*tools, "--back-radius-mm", "plano")
    # one surface: R·(n' − m)/(n − m)
    assert round(a["front_radius_mm"], 9) == round(12 * 0.1555 / 0.154, 9)
    assert (a["back_radius_mm"], a["back_radius_change_mm"]) == ("plano", 0)
    assert round(a["power_with_old_tools_D"] - a["power_D"], 9) == round(1.5 / 12, 9)
    assert "plano, as it was" in lenscalc(*tools, "--back-radius-mm", "plano").stdout
    for more, told in (([], "--back-radius-mm is missing"), (["--back-radius-mm", "-12", "--shape-factor", "0"], "give nothing else")):
        done = lenscalc(*tools, *more)
        assert (done.returncode, told in done.stderr) == (2, True)
    assert "--power-D is missing" in lenscalc("recut", "--n-lens", "1.49", "--center-thickness-mm", "0.9").stderr


def test_recut_tells_what_the_index_leaves_uncertain():
    thin = [*RECUT, "--power-D", "20", "--center-thickness-mm", "0", "--u-n-lens", "0.0004"]
    a = answer(*thin)
    # thin, n − m = 0.2: u(F)/F = u(R)/R = u(n)/0.2
    assert round(a["u_power_D"], 9) == 0.04
    assert (round(a["u_front_radius_mm"], 9), round(a["u_back_radius_mm"], 9), a["u_center_thickness_mm"]) == (0.04, 0.04, 0.0)
    assert "u_power_D" not in answer(*RECUT, "--power-D", "20", "--center-thickness-mm", "0")
    told = " ".join(lenscalc(*thin).stdout.split())
    assert "u of the power, the index's part 0.04 D" in told
    steps = answer(*thin, "--to-power-D", "30", "--step-D", "10")
    assert steps["u_power_D"] == pytest.approx([0.04, 0.06], rel=1e-9, abs=0.0)
    assert "u D" in lenscalc(*thin, "--to-power-D", "30", "--step-D", "10").stdout
    done = lenscalc("recut", "--n-lens-before", "1.49", "--n-lens", "1.4915", "--front-radius-mm", "15", "--back-radius-mm", "-15",
                    "--center-thickness-mm", "0.9", "--u-n-lens", "0.0004")  # fmt: skip
    assert done.returncode == 2
    assert "not with --n-lens-before" in done.stderr


def test_recut_prints_the_ladder_from_five_to_thirty_four():
    a = answer(*RECUT, "--power-D", "5", "--to-power-D", "34", "--step-D", "0.5", "--center-thickness-mm", "0", "--radius-increment-mm", "0.01")
    assert len(a["power_D"]) == 59
    assert [round(400 / R, 9) for R in a["front_radius_mm"]] == a["power_D"]  # thin, n − m = 0.2
