# Two commands: `make demo` and `make test`. They need cargo, python3 (3.10 or later), make and, for the first run,
# a connection to the package registries. Everything lands in .venv, target (or CARGO_TARGET_DIR) and out.

SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DELETE_ON_ERROR:
.DEFAULT_GOAL := help

PYTHON ?= python3
UV ?= 1
VENV := .venv
PY := $(VENV)/bin/python
BIN := $(VENV)/bin
OUT ?= out/dunlin
READY := $(VENV)/.ready

TARGET := $(abspath $(or $(CARGO_TARGET_DIR),target))
# What maturin tells cargo; said to clippy too, or each would undo the work of the other.
MATURIN_SAYS = PYO3_BUILD_EXTENSION_MODULE=1 PYO3_CONFIG_FILE=$$(ls $(TARGET)/maturin/pyo3-config-*.txt)
export PYTHONDONTWRITEBYTECODE := 1
PYTHON_FILES := python tests/python benches tools notebooks

.PHONY: help
help: ## this list
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  make %-12s %s\n", $$1, $$2 }' $(firstword $(MAKEFILE_LIST))

# --- the local environment ------------------------------------------------------------------------------------

$(READY): constraints.txt
	@command -v cargo >/dev/null || { echo "cargo is missing: install Rust 1.88 or later"; exit 1; }
	@command -v $(PYTHON) >/dev/null || { echo "$(PYTHON) is missing: install Python 3.10 or later"; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 10))' \
	  || { echo "$$($(PYTHON) --version) is too old: orlop needs 3.10 or later; try make PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null \
	  || { echo "$(PYTHON) cannot make a virtual environment; on Debian and Ubuntu: apt install python3-venv"; exit 1; }
	@echo "== local environment in $(VENV)"
	@test -x $(PY) || $(PYTHON) -m venv $(VENV)
	@if [ "$(UV)" = 1 ] && $(PY) -m pip install -q --disable-pip-version-check -c constraints.txt uv; then \
	  $(BIN)/uv pip install -q --python $(PY) -r constraints.txt; \
	else \
	  $(PY) -m pip install -q --disable-pip-version-check -r constraints.txt; \
	fi
	@touch $@

# Always asked, never guessed: cargo itself knows whether a Rust file has changed.
.PHONY: develop
develop: $(READY)
	@echo "== orlop into $(VENV) (minutes the first time, seconds later)"
	@VIRTUAL_ENV=$(CURDIR)/$(VENV) $(BIN)/maturin develop --locked --quiet $(if $(filter 1,$(UV)),--uv) \
	  >$(VENV)/develop.log 2>&1 || { cat $(VENV)/develop.log; exit 1; }

# --- what people want -----------------------------------------------------------------------------------------

.PHONY: demo
demo: develop ## build, size the demo boat, write its papers to out/dunlin
	@echo "== the demo boat"
	@$(BIN)/orlop papers demo:dunlin --out $(OUT)

.PHONY: test
test: test-rust test-python lint ## build and pass every test: Rust, Python, notebooks, lints
	@echo "== all tests passed"

.PHONY: test-rust
test-rust: $(READY) ## Rust tests only
	@echo "== Rust tests"
	@cargo test --locked --workspace
	@$(PY) tools/published.py --check >/dev/null || { echo "README: make published ARGS=--write"; exit 1; }

.PHONY: test-python
test-python: develop ## Python tests and notebooks only
	@echo "== Python tests"
	@$(PY) -m pytest -m "not slow"

.PHONY: test-slow
test-slow: develop ## the long tests and outside oracles
	@echo "== long tests"
	@cargo test --locked --workspace -- --ignored
	@$(PY) -m pytest -m slow

.PHONY: lint
lint: develop ## formats, clippy, ruff, types, stubs
	@echo "== lints"
	@cargo fmt --check
	@$(MATURIN_SAYS) cargo clippy --locked --workspace --all-targets -- -D warnings
	@$(BIN)/ruff check $(PYTHON_FILES)
	@$(BIN)/ruff format --check $(PYTHON_FILES)
	@$(BIN)/mypy python/orlop tests/python/typing_usage.py
	@$(PY) -m mypy.stubtest orlop --allowlist tests/python/stubtest_allow.txt --ignore-unused-allowlist

.PHONY: format
format: $(READY) ## rewrite all files in the one format
	@cargo fmt
	@$(BIN)/ruff check --fix-only -q $(PYTHON_FILES)
	@$(BIN)/ruff format $(PYTHON_FILES)

.PHONY: notebooks
notebooks: develop ## run the notebooks and keep their output
	@$(PY) tools/notebooks.py notebooks/*.ipynb

.PHONY: bench
bench: $(READY) ## time the common questions, optimised build
	@echo "== orlop into $(VENV), optimised"
	@VIRTUAL_ENV=$(CURDIR)/$(VENV) $(BIN)/maturin develop --locked --quiet --release $(if $(filter 1,$(UV)),--uv) \
	  >$(VENV)/develop.log 2>&1 || { cat $(VENV)/develop.log; exit 1; }
	@for file in benches/bench_*.py; do $(PY) $$file; done

.PHONY: wheel
wheel: $(READY) ## a release wheel into dist
	@RUSTFLAGS="--remap-path-prefix=$${CARGO_HOME:-$$HOME/.cargo}=cargo --remap-path-prefix=$(CURDIR)=orlop" \
	  $(BIN)/maturin build --locked --release --out dist
	@ls -l dist

.PHONY: published
published: $(READY) ## run the checks against outside sources and print their table
	@$(PY) tools/published.py $(ARGS)

.PHONY: constraints
constraints: $(READY) ## renew the pins in constraints.txt
	@UV_PYTHON_DOWNLOADS=never $(BIN)/uv pip compile -q --upgrade --universal --python-version 3.10 --no-annotate \
	  --no-header --no-emit-index-url --extra dev pyproject.toml -o constraints.txt

.PHONY: clean
clean: ## remove everything that was built
	@rm -rf $(VENV) out dist .pytest_cache .hypothesis .ruff_cache .mypy_cache python/orlop/*.so
	@cargo clean
