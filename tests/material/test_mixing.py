"""Mixing rules: what any mixture must do, the inverse, and odd inputs. Values from outside are in reference_cases/."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import lenscalc
from lenscalc import InputError, mix
from lenscalc.material import mixing_half_spread, unmix
from lenscalc.material.mixing import RULES, two_mixed_of

INDEX = st.floats(1.3, 1.8)


@st.composite
def mixtures(draw, least=2, most=5):
    size = draw(st.integers(least, most))
    n = draw(st.lists(INDEX, min_size=size, max_size=size))
    parts = np.array(draw(st.lists(st.floats(0.01, 1.0), min_size=size, max_size=size)))
    return n, list(parts / parts.sum())


# root searches with mpmath 1.4.1 (tests/reference_scripts/stored_mpmath_mixing.py), the same that reference_cases/mpmath_mixing.toml holds
@pytest.mark.parametrize(
    ("rule", "n"), [("lorentz-lorenz", 1.441312), ("gladstone-dale", 1.443880), ("newton", 1.446348), ("bruggeman", 1.443090)]
)
def test_the_rules_of_a_hydrogel(rule, n):
    assert mix([1.336, 1.51], [0.38, 0.62], rule) == pytest.approx(n, abs=5e-7)


@pytest.mark.parametrize("rule", RULES)
@given(mixture=mixtures())
def test_a_mixture_lies_between_its_components(rule, mixture):
    n, f = mixture
    assert min(n) - 1e-14 <= mix(n, f, rule) <= max(n) + 1e-14


@pytest.mark.parametrize("rule", RULES)
@given(mixture=mixtures(), seed=st.randoms())
def test_the_order_of_the_components_does_not_matter(rule, mixture, seed):
    pairs = list(zip(*mixture, strict=True))
    before = mix(*mixture, rule)
    seed.shuffle(pairs)
    assert mix(*zip(*pairs, strict=True), rule) == pytest.approx(before, rel=1e-14, abs=0.0)


@pytest.mark.parametrize("rule", RULES)
@given(n=st.tuples(INDEX, INDEX, INDEX))
def test_a_component_that_is_all_or_nothing(rule, n):
    assert mix(n[:2], [1.0, 0.0], rule) == pytest.approx(n[0], rel=1e-14, abs=0.0)
    assert mix(n[:2], [0.0, 1.0], rule) == pytest.approx(n[1], rel=1e-14, abs=0.0)
    assert mix(n, [0.0, 1.0, 0.0], rule) == pytest.approx(n[1], rel=1e-14, abs=0.0)


@pytest.mark.parametrize("rule", RULES)
def test_one_component_alone_is_itself(rule):
    assert mix([1.5], [1.0], rule) == pytest.approx(1.5, rel=1e-15, abs=0.0)


@pytest.mark.parametrize("rule", RULES)
@given(n=INDEX, other=INDEX, f=st.floats(0.0, 0.9))
def test_a_component_split_in_two_is_still_one(rule, n, other, f):
    """Three components of which two are equal: Bruggeman goes by bisection here and in closed form there."""
    assert mix([n, other, n], [f / 2, 1 - f, f / 2], rule) == pytest.approx(mix([n, other], [f, 1 - f], rule), rel=1e-13, abs=0.0)


@given(mixture=mixtures())
def test_the_rules_keep_their_order(mixture):
    """(n² − 1)/(n² + 2) is concave in n and n² convex; Bruggeman's reference medium lies between vacuum and a medium without end."""
    found = {rule: mix(*mixture, rule) for rule in RULES}
    assert found["lorentz-lorenz"] <= found["gladstone-dale"] + 1e-14 <= found["newton"] + 2e-14
    assert found["lorentz-lorenz"] <= found["bruggeman"] + 1e-14 <= found["newton"] + 2e-14
    assert mixing_half_spread(*mixture) == pytest.approx((max(found.values()) - min(found.values())) / 2, abs=1e-14)


@pytest.mark.parametrize("rule", RULES)
@given(mixture=mixtures(), which=st.integers(0, 1))
def test_unmixing_gives_the_component_back(rule, mixture, which):
    n, f = mixture
    sought = [None if i == which else ni for i, ni in enumerate(n)]
    assert unmix(mix(n, f, rule), sought, f, rule) == pytest.approx(n[which], abs=1e-14 / min(f) + 1e-13)


@pytest.mark.parametrize("rule", RULES)
@given(n1=INDEX, n2=INDEX, f=st.floats(0.01, 0.99))
def test_the_derivatives_are_those_of_the_body(rule, n1, n2, f):
    """By complex step."""
    h = 1e-30
    mixed = two_mixed_of(n1, n2, f, rule)
    assert mixed.by_first == pytest.approx(two_mixed_of(n1 + h * 1j, n2, f, rule).n.imag / h, rel=1e-12, abs=0.0)
    assert mixed.by_second == pytest.approx(two_mixed_of(n1, n2 + h * 1j, f, rule).n.imag / h, rel=1e-12, abs=0.0)
    assert mixed.by_fraction == pytest.approx(two_mixed_of(n1, n2, f + h * 1j, rule).n.imag / h, rel=1e-11, abs=1e-14)


@pytest.mark.parametrize("rule", RULES)
def test_columns_give_what_their_rows_give(rule):
    polymer, water = np.array([1.45, 1.5, 1.55]), np.array([0.1, 0.25, 0.5])
    column = mix([1.336, polymer], [water, 1 - water], rule)
    assert list(column) == [mix([1.336, p], [w, 1 - w], rule) for p, w in zip(polymer, water, strict=True)]
    three = mix([1.336, polymer, 1.6], [water, 0.4, 0.6 - water], rule)
    assert list(three) == pytest.approx(
        [mix([1.336, p, 1.6], [w, 0.4, 0.6 - w], rule) for p, w in zip(polymer, water, strict=True)], rel=1e-15, abs=0.0
    )
    assert isinstance(mix([1.336, 1.5], [0.5, 0.5], rule), float)
    assert mix(np.array([1.336, 1.5]), np.array([0.25, 0.75]), rule) == mix([1.336, 1.5], [0.25, 0.75], rule)


def test_it_is_at_the_root_of_the_package():
    assert lenscalc.mix is mix


@pytest.mark.parametrize(
    ("n", "f", "rule", "words"),
    [
        ([1.336, 1.51], [38, 62], "newton", "sums to 100: must sum to 1; are these percentages"),
        ([1.336, 1.51], [0.38, 0.6], "newton", r"volume_fraction sums to 0.98: must sum to 1$"),
        ([1.336, 1.51], [0, 95], "newton", r"volume_fraction sums to 95: must sum to 1$"),
        ([1.336, 1.51], [0, 95.1], "newton", r"sums to 95.1: must sum to 1; are these percentages"),
        ([1.336, 1.51], [0, 104.9], "newton", r"sums to 104.9: must sum to 1; are these percentages"),
        ([1.336, 1.51], [0, 105], "newton", r"sums to 105: must sum to 1$"),
        ([1.336, 1.51], [-0.2, 1.2], "newton", r"volume_fraction\[0\] = -0.2: must be 0 to 1"),
        ([1.336, 1.51], [np.nan, 1.0], "newton", "volume_fraction.0. is missing or not a number"),
        ([1.336, np.nan], [0.5, 0.5], "newton", "n.1. is missing or not a number"),
        ([1.336, 15.1], [0.5, 0.5], "newton", "decimal point one place off"),
        ([1.336, "1.51"], [0.5, 0.5], "newton", "n.1. = '1.51' is not a number"),
        ([1.336, 1.51], [0.5, "half"], "newton", "volume_fraction.1. = 'half' is not a number"),
        ([1.336, 1.51, 1.6], [0.5, 0.5], "newton", "n has 3 components and volume_fraction has 2: give one of each a component"),
        ([1.336], [0.5, 0.5], "newton", "n has 1 component and volume_fraction has 2: give one of each a component"),
        ([], [], "newton", "must be a sequence"),
        (1.5, [0.5, 0.5], "newton", "must be a sequence"),
        ("1.5", [0.5, 0.5], "newton", "must be a sequence"),
        (np.float64(1.5), [1.0], "newton", "must be a sequence"),
        (np.array(1.5), [1.0], "newton", "must be a sequence"),
        ([1.336, 1.51], [0.5, 0.5], "lorenz", "rule = 'lorenz': must be 'lorentz-lorenz', 'gladstone-dale', 'newton', 'bruggeman'"),
        ([[1.3, 1.4], [1.5, 1.6, 1.7]], [0.5, 0.5], "newton", "different lengths"),
        ([1.3, 1.5], [[0.5, 0.4], [0.5, 0.5, 0.5]], "newton", "different lengths"),
        ([1.3, 1.5], [[0.5, 0.4], [0.5, 0.5]], "newton", "row 2: volume_fraction sums to 0.9"),
    ],
)
def test_odd_inputs_are_named(n, f, rule, words):
    with pytest.raises(InputError, match=words):
        mix(n, f, rule)


@pytest.mark.parametrize(
    ("n_mixture", "n", "f", "words"),
    [
        (1.44, [1.336, 1.51], [0.38, 0.62], "n has 0 entries None"),
        (1.44, [None, None], [0.38, 0.62], "n has 2 entries None"),
        (1.44, 1.51, [0.38, 0.62], r"n = 1.51: must be a list.*\[1.336, None\]"),
        (1.44, [1.336, None, 1.5], [0.38, 0.62], "n has 3 components and volume_fraction has 2"),
        (1.44, ["water", None], [0.38, 0.62], "n.0. = 'water' is not a number"),
        (1.44, [1.336, None], [1.0, 0.0], r"volume_fraction\[1\] = 0"),
        (1.9, [1.336, None], [0.9, 0.1], "n_mixture = 1.9: no component of index 1 to 3"),
        (1.1, [1.5, None], [0.9, 0.1], "n_mixture = 1.1: no component"),
        ([1.4, 1.1], [1.5, None], [0.5, 0.5], "n_mixture = 1.1: no component"),
        (np.nan, [1.336, None], [0.5, 0.5], "n_mixture is missing"),
    ],
)
@pytest.mark.parametrize("rule", RULES)
def test_what_cannot_be_unmixed_is_named(rule, n_mixture, n, f, words):
    with pytest.raises(InputError, match=words):
        unmix(n_mixture, n, f, rule)


@pytest.mark.parametrize("rule", ["gladstone-dale", "newton"])
def test_the_limits_of_an_index_belong_to_what_is_unmixed(rule):
    """All of the mixture is the one sought, which may be 1 or 3."""
    assert unmix([1.0, 3.0], [1.5, None], [0.0, 1.0], rule).tolist() == [1.0, 3.0]


def test_what_is_not_there_has_a_fraction_of_nothing():
    with pytest.raises(InputError) as caught:
        unmix(1.44, [1.336, None], [1.0, 0.0])
    assert (caught.value.quantity, caught.value.value) == ("volume_fraction", 0.0)
