# Every command of the project. `make` alone lists them.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DELETE_ON_ERROR:
.DEFAULT_GOAL := help

PYTHON ?= python3
PORT ?= 8000
JOBS ?= 2
export PYTHON
# Each server and command the tests start would compile the whole project anew.
unexport PYTHONDONTWRITEBYTECODE

BIN := .venv/bin
MANAGE := $(BIN)/python manage.py
# The lock names every package there is to install. Were pip to look for what these need in turn, it
# would take the newest there is for a need with an extra, and refuse it for having no hash.
LOCKED := $(BIN)/pip --disable-pip-version-check --quiet install --no-deps --require-hashes
ALL_THERE := $(BIN)/pip --disable-pip-version-check check
COMPILE := CUSTOM_COMPILE_COMMAND="make lock" .cache/lock/bin/pip-compile --quiet --generate-hashes \
	--strip-extras --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --no-emit-options

# Data folders. The demo house carries the day it was made: its diary is that day's.
HOUSE := $(or $(LEDGER_DATA),$(CURDIR)/.var/house)
DEMO := $(CURDIR)/.var/demo
MADE_TODAY := $(DEMO)/made-$(shell date +%F)
SCRATCH := $(CURDIR)/.var/scratch
# An invented customer must never reach the house's own database.
IN_DEMO := env --unset=DATABASE_URL LEDGER_DATA=$(DEMO)
IN_HOUSE := env LEDGER_DATA=$(HOUSE)

.PHONY: help demo run person backup restore test test-long test-postgres bench lint format lock clean packages test-packages long-packages

help: ## list these commands
	@sed -n 's/^\([a-z-]*\):.*## /    make \1\t/p' $(MAKEFILE_LIST) | expand -t 24

demo: .venv/run $(MADE_TODAY) ## serve the invented house on 127.0.0.1:8000 (kept for the day, made anew the next)
	@$(IN_DEMO) $(MANAGE) migrate --verbosity 0
	@cat $(MADE_TODAY)
	@$(call serve,$(IN_DEMO))

run: .venv/run ## serve the house's own data, kept in .var/house
	@$(IN_HOUSE) $(MANAGE) migrate --verbosity 0
	@echo "To let somebody in: make person NAME=... ROLE=owner"
	@$(call serve,$(IN_HOUSE))

person: .venv/run ## let somebody in to the house's own data: make person NAME=nell ROLE=owner
	@$(IN_HOUSE) $(MANAGE) migrate --verbosity 0
	@$(IN_HOUSE) $(MANAGE) add_person "$(NAME)" --role "$(ROLE)"

backup: .venv/run ## copy the whole house into one file: make backup TO=folder [SEAL_FOR=age1...] [KEEP=30]
	@$(IN_HOUSE) $(MANAGE) back_up "$(TO)" --seal-for "$(SEAL_FOR)" --keep $(or $(KEEP),0)

restore: .venv/run ## bring a house back: make restore FROM=file [KEY=file] [REPLACE=1]
	@mkdir --mode=700 --parents "$(HOUSE)"
	@$(IN_HOUSE) $(MANAGE) restore "$(FROM)" $(if $(KEY),--key "$(KEY)") $(if $(REPLACE),--replace)
	@$(IN_HOUSE) $(MANAGE) migrate --verbosity 0

test: export LEDGER_DATA := $(SCRATCH)
test: .venv/test ## run the tests, with a browser and with PostgreSQL
	$(BIN)/pytest --numprocesses $(JOBS) --dist worksteal -m "not long" $(ARGS)

test-long: export LEDGER_DATA := $(SCRATCH)
test-long: long-packages .venv/test ## run the tests that take too long for every change
	$(BIN)/pytest --numprocesses $(JOBS) --dist worksteal -m long $(ARGS)

test-postgres: export LEDGER_DATA := $(SCRATCH)
test-postgres: .venv/test ## run the tests on PostgreSQL in place of SQLite
	$(BIN)/python tests/postgres.py $(BIN)/pytest --numprocesses $(JOBS) --dist worksteal -m "not long" $(ARGS)

bench: export LEDGER_DATA := $(SCRATCH)
bench: .venv/test ## measure the budgets
	$(BIN)/pytest tests/bench -o python_files="bench_*.py" --capture=no $(ARGS)

lint: export LEDGER_DATA := $(SCRATCH)
lint: .venv/test ## run every check that reads the code
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy customers garments fittings manage.py
	$(BIN)/lint-imports
	$(BIN)/djlint templates --lint --quiet
	LEDGER_HTTPS=1 $(MANAGE) check --deploy --fail-level WARNING
	$(MANAGE) makemigrations --check --dry-run

format: .venv/test ## put the code in its standard form
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

lock: .cache/lock/bin/pip-compile ## resolve the dependencies anew and write both lock files
	$(COMPILE) --upgrade --output-file requirements.lock pyproject.toml
	$(COMPILE) --upgrade --extra test --constraint requirements.lock \
		--output-file tests/requirements.lock pyproject.toml

clean: ## remove what was built; the house's own data stays
	rm -rf .venv .cache .coverage .*_cache .hypothesis $(DEMO) $(SCRATCH) .var/shots

packages:
	@[[ "$(SYSTEM_PACKAGES)" == skip ]] || .ci/system-packages

test-packages:
	@[[ "$(SYSTEM_PACKAGES)" == skip ]] || .ci/system-packages test

long-packages:
	@[[ "$(SYSTEM_PACKAGES)" == skip ]] || .ci/system-packages long

.venv/bin/python: | packages
	@$(PYTHON) -c 'import sys; sys.exit(not (3, 11) <= sys.version_info < (3, 14))' \
		|| { echo "Python 3.11, 3.12 or 3.13 is needed: make PYTHON=python3.11 ..." >&2; exit 1; }
	$(PYTHON) -m venv .venv

.venv/run: requirements.lock | packages .venv/bin/python
	$(LOCKED) --requirement $<
	@$(ALL_THERE)
	@touch $@

.venv/test: tests/requirements.lock | test-packages .venv/run
	$(LOCKED) --requirement $<
	@$(ALL_THERE)
	@touch $@

.cache/lock/bin/pip-compile:
	$(PYTHON) -m venv .cache/lock
	.cache/lock/bin/pip --quiet install pip-tools

$(MADE_TODAY): | .venv/run
	rm -rf $(DEMO)
	mkdir --mode=700 --parents $(DEMO)
	$(IN_DEMO) $(MANAGE) migrate --verbosity 0
	$(IN_DEMO) $(MANAGE) demo_house > $@

define serve
$(1) $(MANAGE) collectstatic --no-input --verbosity 0; \
echo "Serving on http://127.0.0.1:$(PORT) (Ctrl-C stops)"; \
exec $(1) $(BIN)/gunicorn --config python:fittings.config.server --bind 127.0.0.1:$(PORT) \
	fittings.config.wsgi
endef
