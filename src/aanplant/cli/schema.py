"""``aanplant schema``: the JSON Schema of a brief."""

import json
import sys

from aanplant.brief import Brief


def write_schema() -> None:
    """Write the JSON Schema of a brief to standard output."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **Brief.model_json_schema(),
    }
    json.dump(schema, sys.stdout, indent=2)
    sys.stdout.write("\n")
