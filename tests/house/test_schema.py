"""The published schema is the one that the code means."""

from importlib.resources import files

import jsonschema

from bagside.sheets.planmodel import schema_text


def test_the_published_schema_is_current() -> None:
    text = files("bagside.sheets").joinpath("plan.schema.json").read_text(encoding="utf-8")
    assert text == schema_text(), "write it anew: python -m bagside.sheets.planmodel"


def test_it_is_a_schema() -> None:
    import json

    jsonschema.Draft202012Validator.check_schema(json.loads(schema_text()))
