# All set-up happens by itself where python3 (3.11 to 3.14) with pip, make and git are there.
# Each environment holds exactly its lock: requirements/demo.txt, test.txt, lint.txt.

SHELL := /bin/bash
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.PHONY: help demo test lint bench soak warm texts locks clean

PYTHON ?= $(shell for name in python3 python3.14 python3.13 python3.12 python3.11 python; do \
	$$name -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] < (3, 15))' 2>/dev/null \
	&& { command -v $$name; break; }; done)
# Any Python with pip will do to fetch uv.
PIP_PYTHON ?= $(shell for name in $(PYTHON) python3 python; do \
	$$name -m pip --version >/dev/null 2>&1 && { command -v $$name; break; }; done)

SERVE ?= 1
PORT ?= 8000
LAN ?= 0
TEST_WORKERS ?= 2
TESTS ?= tests

UV := .boot/bin/uv
DEMO := .run/env-demo
TEST := .run/env-test
LINT := .run/env-lint

export UV_PYTHON_DOWNLOADS := never
export PIP_ROOT_USER_ACTION := ignore
unexport VIRTUAL_ENV

help: ## Say what can be made
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 10

demo: $(DEMO)/texts ## Load the invented day, plan it, print its papers, serve it (SERVE=0: stop after printing; PORT=8000; LAN=1: to phones too)
	@$(DEMO)/bin/python -m config.demo --port $(PORT) $(if $(filter 0,$(SERVE)),--no-serve) $(if $(filter 1,$(LAN)),--lan)

test: $(TEST)/texts ## Run every test (TESTS=path for some)
	@# Once, ahead of the test processes, which would each compile them.
	$(TEST)/bin/python -m config.kernels
	$(TEST)/bin/python -m pytest -n $(TEST_WORKERS) --dist worksteal $(TESTS)

lint: $(LINT)/ready ## Check style, types, imports and migrations
	$(LINT)/bin/ruff check .
	$(LINT)/bin/ruff format --check .
	$(LINT)/bin/mypy .
	$(LINT)/bin/lint-imports
	$(LINT)/bin/python -m config.embedded lint -- \
		$(LINT)/bin/python manage.py makemigrations --check --dry-run

bench: $(TEST)/ready ## Measure the planner against published instances
	@for file in tests/benchmarks/[a-z]*.py; do \
		echo "$$file"; $(TEST)/bin/python -m tests.benchmarks.$$(basename $$file .py) || exit 1; \
	done

soak: $(TEST)/texts ## Let Hypothesis search for faults for longer than the suite does
	$(TEST)/bin/python -m pytest -n $(TEST_WORKERS) --dist worksteal --hypothesis-profile soak $(TESTS)

warm: $(DEMO)/texts ## Compile all kernels ahead of the first plan
	$(DEMO)/bin/python -m config.kernels

texts: $(TEST)/ready ## Bring the Spanish texts up to date with the sources, and say how many lack Spanish
	$(TEST)/bin/python -m config.languages update

locks: $(UV) ## Resolve requirements/*.in again
	for name in boot demo test lint; do \
		$(UV) pip compile --quiet --no-config --universal --generate-hashes --python-version 3.11 \
			--no-header --no-emit-index-url requirements/$$name.in -o requirements/$$name.txt; \
	done

clean: ## Remove all that set-up and runs have made (not .venv)
	rm -rf .run .boot .mypy_cache .pytest_cache .ruff_cache .hypothesis .import_linter_cache

$(UV): requirements/boot.txt
	@$(if $(PYTHON),,echo "Tierwright needs Python 3.11 to 3.14; none is on the PATH." >&2; exit 2)
	@$(if $(PIP_PYTHON),,echo "No python3 with pip is on the PATH; on Debian: apt-get install python3-pip" >&2; exit 2)
	@rm -rf .boot
	@$(PIP_PYTHON) -m pip install --quiet --disable-pip-version-check --target .boot \
		--require-hashes -r requirements/boot.txt
	@touch $@

.run/env-%/ready: requirements/%.txt $(UV)
	@echo "Setting up $(@D)"
	@rm -rf $(@D)
	@$(UV) venv --quiet --python $(PYTHON) $(@D)
	@$(UV) pip install --quiet --python $(@D)/bin/python --require-hashes -r $<
	@touch $@

# Make would delete what it takes for a step on the way to `texts`.
.PRECIOUS: .run/env-%/ready

# Translations are compiled by Babel: gettext's own tools may be missing.
.run/env-%/texts: .run/env-%/ready $(wildcard locale/*/LC_MESSAGES/*.po)
	@$(@D)/bin/python -m config.languages compile
	@touch $@
