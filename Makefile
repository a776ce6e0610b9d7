# halfwater: one command each to see it, use it, test it, check it and time it.
# Needs only python3 (3.11 or newer), make and git; the rest is installed into .venv from requirements.lock.

SHELL := /bin/bash
.DEFAULT_GOAL := help
BIN := .venv/bin
STAMP := .venv/.made-from-lock
PEERS := .venv/.peers-from-lock
AT ?=
ON ?=
TESTS := $(if $(AT),tests/$(AT),tests)

.PHONY: help env demo run test check bench lock clean

help: ## this list
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/  make \1\t\2/p' $(firstword $(MAKEFILE_LIST)) | expand -t 16

env: $(STAMP) ## the environment, in .venv

# The first python found that is new enough; a half-made environment is never left behind a stamp.
$(STAMP): requirements.lock pyproject.toml
	@set -euo pipefail; \
	for name in "$${PYTHON:-}" python3 python3.14 python3.13 python3.12 python3.11 python; do \
	  if [ -n "$$name" ] && command -v "$$name" >/dev/null 2>&1 \
	     && "$$name" -c 'import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then \
	    found="$$name"; break; fi; done; \
	if [ -z "$${found:-}" ]; then echo "halfwater needs Python 3.11 or newer with its venv module: install it, or say make env PYTHON=its-name" >&2; exit 1; fi; \
	rm -f $@; \
	if ! { [ -x $(BIN)/python ] && $(BIN)/python -c 'import sys, pip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; }; then \
	  echo "making .venv with $$("$$found" --version)"; "$$found" -m venv --clear .venv; fi; \
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-input --require-hashes -r requirements.lock; \
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-input --no-deps --no-build-isolation --editable .; \
	touch $@

demo: $(STAMP) ## a demo book from nothing: tonight's round, then the pages
	@$(BIN)/halfwater demo

run: $(STAMP) ## your own book, served on this machine
	@$(BIN)/halfwater serve

test: $(STAMP) ## every test, about three minutes on two cores; or one folder: make test AT=science (and ON=postgres)
	@HALFWATER_TEST_STORE=$(ON) $(BIN)/python -m pytest -q --numprocesses auto --dist worksteal $(TESTS)

check: $(STAMP) ## style, types, import rules, Django's deployment check, migrations
	$(BIN)/ruff check .
	$(BIN)/ruff format --check --quiet .
	$(BIN)/mypy
	$(BIN)/lint-imports
	@set -e; home=$$(mktemp -d); trap 'rm -rf "$$home"' EXIT; \
	export HALFWATER_HOME="$$home" DJANGO_SETTINGS_MODULE=halfwater.config.settings; \
	echo "as served on this machine:"; $(BIN)/django-admin check --fail-level WARNING; \
	echo "as served beyond it:"; HALFWATER_HOST=halfwater.example $(BIN)/django-admin check --deploy --fail-level WARNING; \
	$(BIN)/django-admin makemigrations --check --dry-run

# The peers that only a benchmark is timed against, fitted to the versions that everything else has.
$(PEERS): $(STAMP) benchmarks/requirements.lock
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-input --require-hashes -r benchmarks/requirements.lock
	@touch $@

bench: $(PEERS) ## the speed claims, each as a ratio against a stated peer
	@set -e; for script in benchmarks/*.py; do echo "== $$script"; $(BIN)/python "$$script"; done

lock: $(STAMP) ## requirements.lock anew from requirements.in and pyproject.toml
	@set -e; tools=$$(mktemp -d); trap 'rm -rf "$$tools"' EXIT; $(BIN)/python -m venv "$$tools"; \
	"$$tools/bin/python" -m pip install --quiet uv; \
	"$$tools/bin/uv" pip compile pyproject.toml requirements.in --quiet --universal --fork-strategy fewest \
	  --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links \
	  --upgrade --output-file requirements.lock; \
	"$$tools/bin/uv" pip compile benchmarks/requirements.in --constraint requirements.lock --quiet --universal \
	  --fork-strategy fewest --python-version 3.11 --generate-hashes --no-header --no-annotate --no-emit-index-url \
	  --no-emit-find-links --upgrade --output-file benchmarks/requirements.lock

clean: ## away with the environment and what the tools leave behind
	rm -rf .venv .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache build dist
