"""Screening: rules in words, verdicts with their parts, own liquids, and what is refused."""

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from potash.errors import PotashError
from potash.properties.errors import OutOfRange
from potash.properties.liquids import UnknownLiquid, liquids
from potash.properties.metals import SolidMetal, UnknownMetal, metal
from potash.solvents import (
    CARE,
    FAILED,
    MEANING,
    NO_DATA,
    PASSED,
    VERDICTS,
    AboveAllData,
    NameOfAMixture,
    NotAMolecularLiquid,
    UnknownChoice,
    UnknownRule,
    UnreadableStructure,
    Verdict,
    candidate,
    conditions,
    drawing,
    groups,
    judge,
    offered,
    rule,
    rules,
    screen,
    screen_solvents,
    solvent_loss,
    structure,
)
from potash.solvents.findings import metal_lost_to_water
from potash.units import OutOfBounds, UnreadableQuantity, WrongDimension


def _verdict(liquid: str, temperature: str = "200 degC", metal: str = "K", **asked) -> Verdict:
    return judge(candidate(liquid), conditions(metal, temperature, **asked))


def _outcome(verdict: Verdict, rule: str) -> str:
    return next(one.outcome for one in verdict.findings if one.rule == rule)


def _words(verdict: Verdict, rule: str) -> str:
    return next(one.words for one in verdict.findings if one.rule == rule)


# The table


def test_at_least_forty_liquids_are_offered_each_with_a_structure() -> None:
    assert len(offered()) >= 40
    assert all(one.structure is not None for one in offered())


@pytest.mark.parametrize("found", liquids(), ids=lambda one: one.name)
def test_a_structure_has_the_formula_that_the_table_gives(found) -> None:
    assert structure(found.smiles).formula == found.formula


def test_a_row_has_a_verdict_its_reasons_every_rule_and_its_numbers_with_units() -> None:
    frame = screen_solvents("K", "205 degC")
    assert len(frame) == len(offered())
    assert set(frame["verdict"]) <= set(VERDICTS)
    assert {one.name for one in rules()} < set(frame.columns)
    assert frame["reasons"].str.len().min() > 0
    counted = frame[[f"rules {outcome}" for outcome in (FAILED, CARE, NO_DATA, PASSED)]]
    assert (counted.sum(axis=1) == len(rules())).all()
    assert frame.attrs["verdicts"][0].liquid == frame["liquid"][0]


def test_the_best_come_first_and_the_order_is_that_of_the_counts() -> None:
    ranks = [one.rank for one in screen(conditions("K", "205 degC"))]
    assert ranks == sorted(ranks)
    assert ranks[0][0] < ranks[-1][0]


def test_a_verdict_is_the_worst_outcome_of_its_rules() -> None:
    for verdict in screen(conditions("K", "205 degC")):
        outcomes = {one.outcome for one in verdict.findings}
        expected = (
            "unsuitable"
            if FAILED in outcomes
            else ("suitable with care" if CARE in outcomes else "suitable")
        )
        assert verdict.verdict == expected


def test_nothing_says_that_a_liquid_is_safe_or_allowed() -> None:
    texts = [MEANING, *(one.asks + one.because + one.title for one in rules())]
    for T in ("80 degC", "205 degC"):
        for verdict in screen(conditions("K", T, estimates=True)):
            texts += [verdict.reasons, verdict.verdict, *(one.words for one in verdict.findings)]
    for text in texts:
        assert " safe" not in text.lower()
        assert "permitted" not in text.lower()
        assert "approved" not in text.lower()
    assert "no statement that the work may be done" in MEANING


# Rules


def test_each_rule_can_be_read_and_cited() -> None:
    for one in rules():
        assert one.asks.endswith("?")
        assert one.because.endswith(".")
        assert len(one.source) > 10
    assert rule("density").title == "The metal rises"


@pytest.mark.parametrize("name", [one.name for one in rules()])
def test_a_rule_that_is_switched_off_gives_no_finding(name: str) -> None:
    verdict = _verdict("tetralin", without=[name])
    assert len(verdict.findings) == len(rules()) - 1
    assert name not in {one.rule for one in verdict.findings}


def test_switching_off_the_rules_that_speak_against_it_changes_the_verdict() -> None:
    spoken = [one.rule for one in _verdict("tetralin").of_outcome(CARE)]
    assert _verdict("tetralin").verdict == "suitable with care"
    assert _verdict("tetralin", without=spoken).verdict == "suitable"


def test_an_unknown_rule_is_refused_with_the_rules_named() -> None:
    with pytest.raises(UnknownRule, match=r'"flashpoint" is not a rule.*flash_point'):
        screen_solvents("K", "205 degC", without=["flashpoint"])


@pytest.mark.parametrize("group", groups(), ids=lambda one: one.name)
def test_each_group_has_a_pattern_that_reads_a_reason_and_a_source(group) -> None:
    from rdkit import Chem

    assert Chem.MolFromSmarts(group.smarts) is not None
    assert group.because and group.source
    assert (group.above is not None) == (group.effect == "attacked when hot")


# One molecule for each group, and near relatives that must not be caught.
FOUND = [
    ("CC(C)(C)O", "tertiary alcohol"),
    ("CC(C)O", "primary or secondary alcohol"),
    ("CCO", "primary or secondary alcohol"),
    ("CO", "primary or secondary alcohol"),
    ("Oc1ccccc1", "phenol"),
    ("CC(=O)O", "carboxylic acid"),
    ("Nc1ccccc1", "N-H bond"),
    ("c1cc[nH]c1", "N-H bond"),
    ("CCS", "S-H bond"),
    ("Clc1ccccc1", "carbon-halogen bond"),
    ("CCBr", "carbon-halogen bond"),
    ("CC(C)=O", "aldehyde or ketone"),
    ("CC=O", "aldehyde or ketone"),
    ("O=Cc1ccccc1", "aldehyde or ketone"),
    ("CCOC(C)=O", "ester, carbonate or anhydride"),
    ("COC(=O)OC", "ester, carbonate or anhydride"),
    ("CN(C)C=O", "amide"),
    ("CC#N", "nitrile"),
    ("O=[N+]([O-])c1ccccc1", "nitro group"),
    ("CS(C)=O", "sulfoxide"),
    ("O=S1(=O)CCCC1", "sulfone"),
    ("CSC", "sulfide or carbon-sulfur double bond"),
    ("c1ccsc1", "sulfide or carbon-sulfur double bond"),
    ("S=C=S", "sulfide or carbon-sulfur double bond"),
    ("CC1CO1", "epoxide"),
    ("COc1ccccc1", "aryl ether"),
    ("c1ccc2occc2c1", "aryl ether"),
    ("CCOCC", "alkyl ether"),
    ("C1CCOC1", "alkyl ether"),
    ("C1C=Cc2ccccc21", "acidic C-H of a cyclopentadiene"),
    ("C1c2ccccc2-c2ccccc21", "acidic C-H of a cyclopentadiene"),
    ("C#CCCC", "terminal alkyne"),
    ("c1ccc(Cc2ccccc2)cc1", "diarylmethane C-H"),
    ("c1ccncc1", "pyridine-type nitrogen"),
    ("CCN(CC)CC", "tertiary amine"),
    ("CN(C)N(C)C", "bond between nitrogen and nitrogen or oxygen"),
    ("C=Cc1ccccc1", "conjugated double bond"),
    ("C=CC=C", "conjugated double bond"),
    ("CCC=CCC", "isolated double bond"),
    ("c1ccc2ccccc2c1", "fused aromatic rings (naphthalene and larger)"),
    ("c1ccc(-c2ccccc2)cc1", "biphenyl"),
    ("C[Si](C)(C)O[Si](C)(C)C", "silicon-oxygen bond"),
    ("COP(=O)(OC)OC", "phosphorus-oxygen bond"),
    ("CC(C)(C)OOC(C)(C)C", "peroxide"),
    ("O", "water"),
    ("COCCOC", "ring ether or several ether oxygens"),
]


@pytest.mark.parametrize(("smiles", "name"), FOUND)
def test_a_group_is_found_on_the_structure(smiles: str, name: str) -> None:
    assert name in {one.name for one in structure(smiles).groups}


@pytest.mark.parametrize(
    "smiles",
    [
        "C1CCc2ccccc2C1",  # tetralin
        "Cc1ccc(C(C)C)cc1",  # p-cymene
        "C1CCC2CCCCC2C1",  # decalin
        "C1Cc2ccccc2C1",  # indane
        "c1ccc(C2CCCCC2)cc1",  # cyclohexylbenzene
        "CCCCCCCCCCCC",
    ],
)
def test_a_plain_hydrocarbon_has_no_group_that_speaks_against_it(smiles: str) -> None:
    assert structure(smiles).groups == ()


def test_every_effect_of_a_group_is_one_that_a_rule_reads() -> None:
    assert {one.effect for one in groups()} == {
        "attacked",
        "attacked when hot",
        "care",
        "takes electrons",
        "takes up water",
    }


# Single rules


def test_an_ether_passes_with_care_when_cool_and_fails_when_hot() -> None:
    assert _outcome(_verdict("tetraglyme", "90 degC"), "functional_groups") == CARE
    assert _outcome(_verdict("tetraglyme", "200 degC"), "functional_groups") == FAILED


def test_a_low_boiler_never_reaches_the_temperature_under_reflux() -> None:
    verdict = _verdict("toluene", "200 degC")
    assert _outcome(verdict, "working_temperature") == FAILED
    assert "110.6" in _words(verdict, "working_temperature")
    assert _outcome(_verdict("toluene", "105 degC"), "working_temperature") == PASSED


def test_an_open_flask_asks_for_a_low_vapour_pressure_and_a_closed_one_for_a_way_out() -> None:
    assert (
        _outcome(_verdict("tetralin", "100 degC", operation="open"), "working_temperature")
        == PASSED
    )
    assert (
        _outcome(_verdict("tetralin", "170 degC", operation="open"), "working_temperature") == CARE
    )
    assert (
        _outcome(_verdict("tetralin", "200 degC", operation="open"), "working_temperature")
        == FAILED
    )
    closed = _verdict("tetralin", "200 degC", operation="closed")
    assert _outcome(closed, "working_temperature") == CARE
    assert "hydrogen" in _words(closed, "working_temperature")
    assert (
        _outcome(_verdict("toluene", "200 degC", operation="closed"), "working_temperature")
        == FAILED
    )


def test_what_matters_for_the_beads_decides_how_sinking_counts() -> None:
    assert _outcome(_verdict("hexadecane", beads="should rise"), "density") == CARE
    assert _outcome(_verdict("hexadecane", beads="must rise"), "density") == FAILED
    assert _outcome(_verdict("hexadecane", beads="may sink"), "density") == PASSED


def test_autoignition_fails_at_it_and_needs_care_below_it() -> None:
    # Hexadecane catches fire by itself at 202 deg C.
    assert _outcome(_verdict("hexadecane", "203 degC"), "autoignition") == FAILED
    assert _outcome(_verdict("hexadecane", "180 degC"), "autoignition") == CARE
    assert _outcome(_verdict("hexadecane", "140 degC"), "autoignition") == PASSED


def test_the_flash_point_passes_below_it_only() -> None:
    assert _outcome(_verdict("hexadecane", "134 degC"), "flash_point") == PASSED
    assert _outcome(_verdict("hexadecane", "136 degC"), "flash_point") == CARE


def test_what_melts_warm_needs_care_and_what_melts_hot_fails() -> None:
    assert _outcome(_verdict("octadecane"), "room_temperature") == CARE
    assert _outcome(_verdict("biphenyl"), "room_temperature") == FAILED
    assert _outcome(_verdict("tetralin"), "room_temperature") == PASSED


def test_a_carcinogen_of_category_1_fails_and_of_category_2_needs_care() -> None:
    assert _outcome(_verdict("benzene", "75 degC"), "health_hazards") == FAILED
    assert _outcome(_verdict("tetralin"), "health_hazards") == CARE
    assert "SDS" in _words(_verdict("tetralin"), "health_hazards")


def test_the_water_of_a_liquid_takes_its_moles_of_metal() -> None:
    # 100 mL of a liquid of 970 kg/m3 with 200 ppm of water: 19.4 mg, 1.077 mmol, 42.1 mg of K.
    lost = metal_lost_to_water(metal("K"), 200e-6, 970.0, 100e-6)
    assert lost * 1e6 == pytest.approx(42.1, abs=0.1)


def test_what_melts_warm_has_its_water_reckoned_from_its_density_as_a_melt() -> None:
    assert _outcome(_verdict("diphenyl ether"), "water") == PASSED
    assert "mg of potassium" in _words(_verdict("diphenyl ether"), "water")


def test_a_wet_liquid_needs_care_and_so_does_one_that_draws_water() -> None:
    assert _outcome(_verdict("tetralin", water="200 ppm"), "water") == PASSED
    assert _outcome(_verdict("tetralin", water="0.2 %"), "water") == CARE
    assert _outcome(_verdict("tetraglyme", water="0 ppm"), "water") == CARE


def test_missing_data_is_said_and_counts_neither_way() -> None:
    verdict = _verdict("squalane", "250 degC", beads="may sink")
    assert _outcome(verdict, "density") == NO_DATA
    assert "No trusted density" in verdict.reasons
    known = [one for one in verdict.findings if one.outcome != NO_DATA]
    again = _verdict(
        "squalane", "250 degC", without=[one.rule for one in verdict.of_outcome(NO_DATA)]
    )
    assert list(again.findings) == known
    assert again.verdict == verdict.verdict


def test_an_estimate_fills_a_gap_only_on_request_and_is_marked_and_less_sure() -> None:
    plain = _verdict("trans-decalin", "180 degC")
    filled = _verdict("trans-decalin", "180 degC", estimates=True)
    assert _outcome(plain, "density") == NO_DATA
    assert not plain.hangs_on_estimates
    assert "(estimate)" in _words(filled, "density")
    assert filled.hangs_on_estimates
    measured = _verdict("tetralin", "180 degC", estimates=True)
    assert "(estimate)" not in _words(measured, "density")
    assert filled.buoyancy.margin > 1.5 * measured.buoyancy.margin


def test_a_crossing_is_found_on_an_estimate_where_one_is_asked_for() -> None:
    # Decalin, 866 kg/m3 at 25 deg C, is denser than potassium when cool and lighter when hot.
    assert _verdict("trans-decalin", "150 degC").buoyancy.crossing is None
    found = _verdict("trans-decalin", "150 degC", estimates=True).buoyancy.crossing
    assert found is not None
    assert 340 < found.temperature < 430
    assert found.sinks_above


def test_the_crossing_lies_where_the_densities_are_equal_within_its_band() -> None:
    found = _verdict("o-xylene", "105 degC").buoyancy.crossing
    assert found is not None
    T = f"{found.temperature} K"
    xylene = candidate("o-xylene").liquid.density(T).m_as("kg/m^3")
    assert xylene == pytest.approx(metal("K").density(T).m_as("kg/m^3"), rel=1e-3)
    assert found.low < found.temperature < found.high
    assert found.sinks_above


def test_a_verdict_shows_itself_with_every_rule() -> None:
    page = _verdict("tetralin")._repr_html_()
    assert page.count("<tr>") == len(rules())
    assert "suitable with care" in page
    assert "no statement that the work may be done" in page


# Bad questions


def test_a_solid_metal_is_refused() -> None:
    with pytest.raises(SolidMetal, match=r"melts at 180\.5"):
        screen_solvents("Li", "150 degC")


def test_an_unknown_metal_is_refused() -> None:
    with pytest.raises(UnknownMetal, match="not an alkali metal"):
        screen_solvents("Fe", "205 degC")


def test_a_temperature_above_all_data_is_refused_with_the_limit() -> None:
    with pytest.raises(AboveAllData, match=r"450.°C lies above all data"):
        screen_solvents("K", "450 degC")


def test_a_boiling_metal_is_refused() -> None:
    with pytest.raises(OutOfRange, match="boils"):
        screen_solvents("Cs", "900 degC")


@pytest.mark.parametrize(
    ("T", "error"),
    [("205", UnreadableQuantity), ("205 g", WrongDimension), ("-300 degC", OutOfBounds)],
)
def test_a_temperature_that_is_none_is_refused(T: str, error: type) -> None:
    with pytest.raises(error, match="temperature"):
        screen_solvents("K", T)


def test_an_unknown_way_of_working_is_refused_with_the_choices() -> None:
    with pytest.raises(UnknownChoice, match=r'"boiling"; write one of: refluxing, open, closed'):
        screen_solvents("K", "205 degC", operation="boiling")


# Liquids of one's own


@pytest.mark.parametrize("given", ["99-87-6", "p-cymene", "CC(C)c1ccc(C)cc1", "Cc1ccc(cc1)C(C)C"])
def test_p_cymene_has_one_row_however_it_is_given(given: str) -> None:
    frame = screen_solvents("K", "170 degC", add=[given])
    assert list(frame["liquid"]).count("p-cymene") == 1
    assert len(frame) == len(offered())
    by_cas = screen_solvents("K", "170 degC", add=["99-87-6"])
    row = frame[frame["liquid"] == "p-cymene"].reset_index(drop=True)
    assert row.equals(by_cas[by_cas["liquid"] == "p-cymene"].reset_index(drop=True))


def test_a_liquid_outside_the_table_is_the_same_by_name_cas_number_and_smiles() -> None:
    by_name = candidate("cyclohexanone")
    for written in ("108-94-1", "O=C1CCCCC1"):
        again = candidate(written)
        assert again.own
        assert again.liquid.records == by_name.liquid.records
        assert again.liquid.cas == "108-94-1"
    assert _outcome(judge(by_name, conditions("K", "150 degC")), "functional_groups") == FAILED


def test_a_liquid_known_by_its_structure_alone_is_judged_by_it_and_estimated_on_request() -> None:
    found = candidate("CCCCc1ccc(CCCC)c(CC)c1")
    plain = judge(found, conditions("K", "200 degC"))
    filled = judge(found, conditions("K", "200 degC", estimates=True))
    assert found.liquid.cas == "no CAS number"
    assert _outcome(plain, "working_temperature") == NO_DATA
    assert "(estimate)" in _words(filled, "working_temperature")
    assert _outcome(plain, "functional_groups") == PASSED


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        ("tetrlin", UnknownLiquid, "Near it: tetralin"),
        ("unobtainium", UnknownLiquid, "CAS number or the SMILES"),
        ("decalin", UnknownLiquid, "cis-decalin or trans-decalin"),
        ("C1CCC2CCCCC2C1", UnreadableStructure, "which stereoisomer"),
        ("white mineral oil", NameOfAMixture, "squalane, hexadecane"),
        ("Petroleum Ether", NameOfAMixture, "heptane, octane"),
        ("silicone oil", NameOfAMixture, "hot hydroxide splits"),
        ("c1ccc", UnreadableStructure, "not a SMILES that can be read"),
        ("CC(C", UnreadableStructure, "round brackets"),
        ("CC(C)(C)(C)C", UnreadableStructure, "valence"),
        ("[Na+].[Cl-]", NotAMolecularLiquid, "a salt"),
        ("sodium chloride", NotAMolecularLiquid, "a salt"),
        ("potassium hydroxide", NotAMolecularLiquid, "a salt"),
        ("CCC.CCCC", NotAMolecularLiquid, "2 substances"),
        ("methane", NotAMolecularLiquid, "a gas at room temperature"),
        ("C", NotAMolecularLiquid, "a gas at room temperature"),
        ("[K]", NotAMolecularLiquid, "without metals"),
        ("carbon", NotAMolecularLiquid, "an element or a radical"),
        ("119-64-3", NotAMolecularLiquid, "last digit"),
        ("", UnknownLiquid, "not in the table"),
        ("x" * 100_000, UnreadableStructure, "100000 characters"),
    ],
)
def test_what_is_no_liquid_is_refused_with_what_would_be_right(given, error, words) -> None:
    with pytest.raises(error, match=words) as caught:
        candidate(given)
    assert len(str(caught.value)) < 800


def test_a_drawing_marks_the_atoms_that_are_attacked() -> None:
    assert "<svg" in drawing("Clc1ccccc1")
    # The colour of the mark, as rdkit writes it.
    assert "#F9BF8C" in drawing("Clc1ccccc1").upper()
    assert "#F9BF8C" not in drawing("Cc1ccccc1").upper()


# Loss


def test_gas_through_a_condenser_carries_off_its_share_of_vapour() -> None:
    # Toluene at 20 deg C: 2.9 kPa. 1 mol of hydrogen carries 2.9 / (101.3 - 2.9) mol, 2.7 g.
    found = solvent_loss("toluene", "105 degC", "2 h", hydrogen="1 mol", condenser="20 degC")
    assert found.mass.m_as("g") == pytest.approx(2.7, rel=0.05)
    assert any("teaching value" in note for note in found.notes)


def test_an_open_neck_loses_more_the_hotter_and_the_longer() -> None:
    cool = solvent_loss("tetralin", "120 degC", "2 h", operation="open")
    hot = solvent_loss("tetralin", "190 degC", "2 h", operation="open")
    longer = solvent_loss("tetralin", "120 degC", "4 h", operation="open")
    assert hot.mass > 3 * cool.mass
    assert longer.mass.m_as("g") == pytest.approx(2 * cool.mass.m_as("g"))


def test_the_level_falls_by_the_share_that_is_lost() -> None:
    found = solvent_loss("tetralin", "190 degC", "10 h", operation="open", volume="85 mL")
    assert found.level_after.m_as("mm") == pytest.approx(
        found.level_before.m_as("mm") * (1 - found.share)
    )
    # 85 mL in a cylinder of 70 mm: 22 mm when cold, and more when hot.
    assert 22 < found.level_before.m_as("mm") < 30


def test_above_its_boiling_point_an_open_flask_boils_dry() -> None:
    found = solvent_loss("toluene", "120 degC", "1 h", operation="open")
    assert found.share == 1
    assert any("boils away" in note for note in found.notes)


def test_no_time_and_no_gas_lose_nothing() -> None:
    assert solvent_loss("tetralin", "190 degC", "0 h", operation="open").share == 0
    assert solvent_loss("tetralin", "190 degC", "5 h").share == 0
    assert not math.isnan(solvent_loss("tetralin", "190 degC", "5 h").level_after.magnitude)


# What it loads, and what anybody may type


def test_screening_loads_neither_tables_of_data_nor_estimators() -> None:
    heavy = ["pandas", "thermo", "chemicals", "matplotlib", "CoolProp"]
    code = (
        "import sys; from potash.solvents import conditions, screen; "
        "before = 'rdkit' in sys.modules; screen(conditions('K', '200 degC')); "
        f"print(before, [name for name in {heavy!r} if name in sys.modules])"
    )
    found = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert found.stdout.strip() == "False []"


@settings(max_examples=150, deadline=None)
@given(
    st.one_of(
        st.text(max_size=40),
        st.text(alphabet="CNOSFclnos()[]=#123+-@/\\.%", max_size=30),
        st.from_regex(r"[0-9]{2,7}-[0-9]{2}-[0-9]", fullmatch=True),
    )
)
def test_whatever_is_typed_gives_a_liquid_or_one_clear_error(given_text: str) -> None:
    try:
        found = candidate(given_text)
    except PotashError as error:
        assert 10 < len(str(error)) < 1000
    else:
        assert found.liquid.name
        assert judge(found, conditions("K", "200 degC")).verdict in VERDICTS
