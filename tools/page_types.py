"""Write what the interface says of itself, and the page's types of it, into ``web/``.

``python -m tools.page_types`` asks the application without starting a server, so that the types
can't drift from it; one test compares the description with the application, another (in
``web/``) the types with the description.
"""

import json
import subprocess
import tempfile
from pathlib import Path

from aanplant.cli.writing import FILE_GROUPS
from aanplant.server import create_app

WEB = Path(__file__).parents[1] / "web"
DESCRIPTION = WEB / "planner" / "api" / "openapi.json"


def description() -> str:
    """Return the OpenAPI document as text; which estate is served makes no difference to it."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "estate.toml").write_text('name = "any"\n', encoding="utf-8")
        app = create_app(Path(folder), groups=FILE_GROUPS, write_plan=lambda *_: ())
        return json.dumps(app.openapi(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    DESCRIPTION.write_text(description(), encoding="utf-8")
    subprocess.run(["npm", "--prefix", WEB, "run", "--silent", "types"], check=True)
