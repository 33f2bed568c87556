from bagside.errors import InputError, Problem, did_you_mean
from bagside.findings import Basis, weakest


def test_a_problem_is_one_sentence() -> None:
    problem = Problem(
        place="job.toml, ply 3, material",
        came='"twil-200"',
        wanted="there is no prepreg of this name in this workshop",
        hint='did you mean "twill-200"?',
    )
    assert str(problem) == (
        'job.toml, ply 3, material: "twil-200" – there is no prepreg of this name in this workshop '
        '(did you mean "twill-200"?)'
    )


def test_an_error_carries_every_problem() -> None:
    error = InputError([Problem(place="a", came="", wanted="x"), Problem(place="b", came="2", wanted="y")])
    assert [p.place for p in error.problems] == ["a", "b"]
    assert str(error) == "a – x\nb: 2 – y"


def test_near_match_or_what_is_known() -> None:
    assert did_you_mean("stel", ["steel", "aluminium"]) == 'did you mean "steel"?'
    assert did_you_mean("zzz", ["steel", "aluminium"]) == "known here: aluminium, steel"
    assert did_you_mean("zzz", []) == ""


def test_a_computed_number_carries_its_weakest_basis() -> None:
    assert weakest(Basis.MEASURED, Basis.PUBLISHED, Basis.DATA_SHEET) is Basis.PUBLISHED
