# `make` alone says what there is. Everything runs in .venv, which is made on the first call
# and looked at again only when requirements.lock or pyproject.toml changed.

UV_VERSION := 0.13.9
PYTHON ?= python3
BIN := .venv/bin
READY := .venv/.ready
UV := $(BIN)/uv

.DEFAULT_GOAL := help
.PHONY: help demo test bench docs pages checks lint format lock clean poppler chromium web serve

help:
	@echo "make demo     plan the example estate and say where the results are"
	@echo "make test     all checks: format, lint, types, imports, docs, tests"
	@echo "make bench    speed beside other programs, as ratios"
	@echo "make serve    open the example estate in the desk page"
	@echo "make web      build the desk page (needs npm)"
	@echo "make docs     build the documentation into site/"
	@echo "make pages    write the generated pages and the shown output of docs/ anew"
	@echo "make checks   write docs/checks.md, our numbers beside the published ones"
	@echo "make lint     only the quick checks; make format mends what it can"
	@echo "make lock     solve requirements.lock anew after a change of pyproject.toml"
	@echo "make clean    remove .venv and all that was built"

$(UV): Makefile
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv==$(UV_VERSION)
	@touch $@

$(READY): $(UV) requirements.lock pyproject.toml
	$(UV) pip install --quiet --compile-bytecode --python $(BIN)/python --require-hashes -r requirements.lock
	$(UV) pip install --quiet --python $(BIN)/python --no-build-isolation --no-deps --editable .
	@touch $@

# The desk page. Without npm it is left out, and its tests are skipped and say so.
PAGES := src/aanplant/server/pages/index.html
WEB := $(shell find web -path web/node_modules -prune -o -type f -print)

web: $(PAGES)

$(PAGES): $(WEB)
	@if command -v npm >/dev/null; then \
		npm --prefix web ci --silent && npm --prefix web run --silent check && \
		npm --prefix web run --silent build && touch $@; \
	else echo "npm (Node 20.19 or newer) is not there; the desk page is not built"; fi

serve: $(READY) web
	$(BIN)/aanplant serve examples/lowquince

demo: $(READY)
	$(BIN)/aanplant demo

lint: $(READY)
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

# Without pdftotext the tests read PDF with pypdf. A build machine gets it, a person's is left alone.
poppler:
	@command -v pdftotext >/dev/null || test -z "$$CI" || test "$$(id -u)" != 0 || \
		! command -v apt-get >/dev/null || \
		{ apt-get -qq update && apt-get -qq install --yes --no-install-recommends poppler-utils; } >/dev/null || \
		echo "pdftotext could not be installed; tests read PDF with pypdf"

# Without chromium the tests that open a page in a browser are skipped, and say so.
chromium:
	@test -x /usr/bin/chromium || test -z "$$CI" || test "$$(id -u)" != 0 || \
		! command -v apt-get >/dev/null || \
		{ apt-get -qq update && apt-get -qq install --yes --no-install-recommends chromium; } >/dev/null || \
		echo "chromium could not be installed; tests in a browser are skipped"

# pytest comes last, so that its closing line is the last line of the run.
test: poppler chromium web
	@$(MAKE) --no-print-directory lint
	@$(MAKE) --no-print-directory docs
	@test ! -d web/node_modules || npm --prefix web test --silent
	$(BIN)/pytest

bench: $(READY)
	$(BIN)/python -m benchmarks

docs: $(READY)
	$(BIN)/mkdocs build --strict --quiet

pages: $(READY)
	$(BIN)/python -m tools.reference_pages
	$(BIN)/python -m tools.shown_commands

checks: $(READY)
	$(BIN)/pytest --quiet --write-checks

format: $(READY)
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

lock: $(UV)
	$(UV) pip compile --quiet --universal --generate-hashes --no-header --no-emit-index-url --no-emit-find-links \
		pyproject.toml --extra dev --output-file requirements.lock

clean:
	rm -rf .venv site build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
	find src tests -name __pycache__ -type d -prune -exec rm -rf {} +
