# Everything this project needs beyond Python 3.11+, make and git is fetched from PyPI into .tools and .venv here.
PYTHON ?= python3
TOOLS := .tools
UV := $(TOOLS)/bin/uv
export UV_CACHE_DIR := $(CURDIR)/$(TOOLS)/cache
export UV_PROJECT_ENVIRONMENT := $(CURDIR)/.venv
export UV_PYTHON_DOWNLOADS := never
# no sync while running: what a target needs was fetched by the stamp it depends on
RUN := $(UV) run --frozen --quiet --no-sync

.DEFAULT_GOAL := help
.PHONY: help demo page test check slow anew format setup clean

help:  ## this list
	@grep -E '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

demo: .venv/.base  ## write the packet of the example rib Q7-2102-1 (press P2) and say where it lies
	@$(RUN) python -m ribwright packet examples/dabchick/Q7-2102-1.part.toml --press P2 --out out/demo

page: .venv/.base  ## the workbench in a browser, on this machine
	@$(RUN) python -m ribwright serve

test: setup  ## run the tests (the default run, without the slow studies)
	@$(RUN) pytest -n 2 --dist loadfile -m "not slow"  # a file on one worker: what its tests share is made once

slow: setup  ## run the slow studies alone
	@$(RUN) pytest -n 2 -m "slow and not anew"

anew: setup  ## run the independent continuum program again (ccx, minutes) and hold its table against it
	@$(RUN) pytest -m anew

check: setup  ## style, types
	@$(RUN) ruff check .
	@$(RUN) ruff format --check .
	@$(RUN) mypy

format: setup  ## put the code into the house's format
	@$(RUN) ruff check --fix .
	@$(RUN) ruff format .

setup: .venv/.ready  ## fetch uv and the packages for development, solids included, into this folder

.venv/.ready: pyproject.toml uv.lock | $(UV)
	@$(UV) sync --frozen --quiet --python $(PYTHON) --all-extras
	@touch $@ .venv/.base

# what a person who only uses the tool needs; never takes away what development has fetched
.venv/.base: pyproject.toml uv.lock | $(UV)
	@$(UV) sync --frozen --quiet --python $(PYTHON) --no-dev --inexact
	@touch $@

$(UV):
	@echo "fetching uv from PyPI into $(TOOLS)"
	@$(PYTHON) -m venv $(TOOLS)
	@$(TOOLS)/bin/python -m pip install --quiet --disable-pip-version-check "uv>=0.9,<0.14"

clean:  ## remove what was fetched and written
	rm -rf $(TOOLS) .venv out
