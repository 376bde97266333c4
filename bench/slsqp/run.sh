#!/bin/sh
# Routing against SciPy, side by side in one run: `bench/slsqp/run.sh [starts]`. Sets up what it needs.
set -eu
cd "$(dirname "$0")/../.."
venv=bench/slsqp/.venv
[ -x $venv/bin/python ] || python3 -m venv $venv
$venv/bin/pip install --quiet --disable-pip-version-check -r bench/slsqp/requirements.txt
cargo build --release --quiet -p bench-slsqp
OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 RAYON_NUM_THREADS=1 exec $venv/bin/python bench/slsqp/against_scipy.py "$@"
