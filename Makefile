# Every target works alone on a bare machine that has python3 (3.11 or newer) and make.
SHELL := /bin/bash
.DEFAULT_GOAL := help
.PHONY: help setup demo test lint bench docs golden wheel lock browser clean

VENV := .venv
BIN := $(VENV)/bin
UV := $(BIN)/uv
PORT ?= 8437
# uv leaves byte-compiling to the first run, which a person waits for; so ask for it here.
export UV_COMPILE_BYTECODE := 1
unexport PYTHONDONTWRITEBYTECODE

help: ## list the targets
	@grep -E '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | sort | column -t -s $$'\t'

$(UV):
	python3 -m venv $(VENV)
	$(BIN)/pip install --quiet 'uv>=0.9'

$(VENV)/.run: requirements.lock pyproject.toml | $(UV)
	$(UV) pip install --quiet --python $(BIN)/python --require-hashes -r requirements.lock
	$(UV) pip install --quiet --python $(BIN)/python --no-deps -e .
	@touch $@

$(VENV)/.dev: requirements-dev.lock pyproject.toml | $(UV)
	$(UV) pip install --quiet --python $(BIN)/python --require-hashes -r requirements-dev.lock
	$(UV) pip install --quiet --python $(BIN)/python --no-deps -e .
	@touch $@ $(VENV)/.run

setup: $(VENV)/.dev ## everything a developer needs

demo: $(VENV)/.run ## the demo workshop in the web app, on this machine only (PORT=, NO_OPEN=1)
	@exec $(BIN)/partline demo --port $(PORT) $(if $(NO_OPEN),--no-open)

browser: ## a real browser for the tests, from the system's packages when missing
	@bash tools/ensure-browser.sh

test: $(VENV)/.dev browser ## all tests, a real browser included
	$(BIN)/python -m pytest -n auto --dist worksteal

lint: $(VENV)/.dev ## style, types, and who may import whom
	$(BIN)/ruff check src tests benchmarks tools
	$(BIN)/ruff format --check src tests benchmarks tools
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/.dev ## one script per claim, each beside its reference
	@set -e; for script in benchmarks/bench_*.py; do echo "== $$script"; $(BIN)/python $$script; done

docs: $(VENV)/.dev ## remake the generated pages (command line, verification)
	$(BIN)/python tools/make_docs.py

golden: $(VENV)/.dev ## remake the golden cards and pictures; read the diff before you commit it
	$(BIN)/python tools/make_golden.py

wheel: $(VENV)/.dev ## a wheel in dist/
	$(UV) build --quiet --python $(BIN)/python --wheel --out-dir dist

lock: | $(UV) ## resolve the requirements again, hashed, without addresses
	$(UV) pip compile pyproject.toml --extra photo --universal --generate-hashes --no-header --no-annotate --no-emit-index-url --quiet -o requirements.lock
	$(UV) pip compile pyproject.toml --extra dev --extra photo --universal --generate-hashes --no-header --no-annotate --no-emit-index-url --quiet -o requirements-dev.lock

clean: ## take away what these targets made
	rm -rf $(VENV) dist build .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis
