"""A reading is an outcome, and near the edge of a bin two of them by the gauge's grade."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from diagnose.evidence import Evidence
from diagnose.readings import judge
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from knowledge.schema import Reading

STEADY = settings(max_examples=100, deadline=None, derandomize=True)
BINS = [{"is": "none", "below": 1.5}, {"is": "part", "below": 0.8, "of": "supply"}, {"is": "full"}]
GAUGE = {"span": "scale", "grade": "B"}
SOFT = Reading.model_validate({"unit": "psi", "gauge": GAUGE, "bins": BINS})
HARD = Reading.model_validate({"unit": "psi", "bins": BINS})
QUANTITIES = {"supply": 25.0, "scale": 60.0}


@given(st.floats(0, 119))
@STEADY
def test_the_weights_of_a_reading_sum_to_one(number):
    """Whatever was read, the truth lies in some bin."""
    assert sum(judge(SOFT, f"{number:.4f} psi", QUANTITIES).weights.values()) == pytest.approx(1, abs=1e-12)


def test_on_the_edge_of_a_bin_both_sides_are_as_likely():
    """20 psi is 0.8 x 25."""
    weights = judge(SOFT, "20 psi", QUANTITIES).weights
    assert weights["part"] == pytest.approx(0.5, abs=1e-9)
    assert weights["full"] == pytest.approx(0.5, abs=1e-9)


def test_near_the_edge_the_weights_follow_the_gauges_grade():
    """Grade B, middle half: 2 % of 60 psi as three standard deviations (ASME B40.100, from memory)."""
    weights = judge(SOFT, "20.4 psi", QUANTITIES).weights
    assert weights["full"] == pytest.approx(norm.cdf(0.4 / (0.02 * 60 / 3)), abs=1e-9)


@pytest.mark.parametrize(
    ("number", "outcome"), [(0.0, "none"), (10.0, "part"), (25.0, "full"), (110.0, "full")]
)
def test_far_from_every_edge_there_is_no_doubt(number, outcome):
    """One outcome has all the weight."""
    judged = judge(SOFT, f"{number} psi", QUANTITIES)
    assert judged.outcome == outcome
    assert judged.weights[outcome] == pytest.approx(1, abs=0.02)


@given(st.floats(0, 100))
@STEADY
def test_without_a_gauge_the_outcome_is_hard(number):
    """All weight is on the bin that the number falls into."""
    judged = judge(HARD, f"{number:.4f} psi", QUANTITIES)
    assert judged.weights[judged.outcome] == 1.0


def test_a_soft_finding_is_between_the_two_hard_ones():
    """On the whole book: half part and half full lies between part and full, for every cause."""
    reasoner = Reasoner(load_book(), {"valve_fails": "closed", "acting": "direct", "action": "snap"})

    def causes(answer, soft=None):
        evidence = Evidence(
            ("wont_open",), {"output_gauge": answer}, soft={"output_gauge": soft} if soft else {}
        )
        return reasoner.beliefs(evidence).causes

    part, full, both = causes("part"), causes("full"), causes("part", {"part": 0.5, "full": 0.5})
    for name, probability in both.items():
        low, high = sorted((part[name], full[name]))
        assert low - 1e-12 <= probability <= high + 1e-12, name


def test_a_soft_finding_with_all_weight_on_one_outcome_is_the_hard_one():
    """To the last digit that matters."""
    reasoner = Reasoner(load_book(), {"valve_fails": "closed"})
    hard = reasoner.beliefs(Evidence(("wont_open",), {"supply_gauge": "low"})).causes
    soft = reasoner.beliefs(
        Evidence(("wont_open",), {"supply_gauge": "low"}, soft={"supply_gauge": {"low": 1.0}})
    ).causes
    assert soft == pytest.approx(hard, abs=1e-12)
