"""The speed comparison: python3 validation/speed/run.py [--cases sill:10000,plinth:1000000,…]

Builds coldseam's measuring example, sets up an environment of its own under target/speed for the Python libraries, exports the same
matrices to all, runs everything one after the other and writes validation/speed/RESULTS.md. BoomerAMG needs Debian's python3-petsc4py
and is left out where that is missing.
"""
import argparse
import datetime
import json
import os
import pathlib
import platform
import shutil
import subprocess
import sys
import venv

ROOT = pathlib.Path(__file__).resolve().parents[2]
HERE = ROOT / "validation" / "speed"
WORK = ROOT / "target" / "speed"
PACKAGES = ["numpy", "scipy", "pyamg", "pypardiso", "scikit-sparse==0.4.15"]
# A library that takes longer than this for one run at a size is not run on the larger ones.
PATIENCE = 300


def environment():
    python = WORK / "env" / "bin" / "python"
    if not python.exists():
        venv.create(WORK / "env", with_pip=True)
        for package in PACKAGES:
            # scikit-sparse needs the headers of SuiteSparse; without them the comparison goes on without CHOLMOD.
            subprocess.run([python, "-m", "pip", "install", "--quiet", package], check=package == "numpy")
    return str(python)


def line(command, timeout, extra=None):
    environment = dict(os.environ, **(extra or {}))
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=timeout, env=environment)
    except subprocess.TimeoutExpired:
        return None
    if done.returncode != 0:
        print("  failed:", done.stderr.strip().splitlines()[-1:] or done.returncode, file=sys.stderr)
        return None
    return json.loads(done.stdout.strip().splitlines()[-1])


def petsc():
    """The environment in which Debian's python3 finds petsc4py, or nothing."""
    folders = sorted(pathlib.Path("/usr/lib/petscdir").glob("petsc*/*real"))
    for extra in [{}] + [dict(PETSC_DIR=str(folder)) for folder in folders]:
        command = ["/usr/bin/python3", "-c", "import petsc4py, numpy"]
        if subprocess.run(command, capture_output=True, env=dict(os.environ, **extra)).returncode == 0:
            return extra
    return None


def libraries(python):
    others = str(HERE / "others.py")
    system = "/usr/bin/python3"
    with_petsc = petsc()
    yield "faer", None, {}
    for name in ("superlu", "pyamg", "cholmod"):
        yield name, [python, others, name], {}
    for threads in ("1", "2"):
        yield f"pardiso {threads}", [python, others, "pardiso"], dict(MKL_NUM_THREADS=threads, OMP_NUM_THREADS=threads)
    if with_petsc is not None:
        with_petsc.update(OMP_NUM_THREADS="1")
        yield "boomeramg 1", [system, others, "boomeramg"], with_petsc
        if shutil.which("mpiexec"):
            command = ["mpiexec", "--allow-run-as-root", "-n", "2", system, others, "boomeramg"]
            yield "boomeramg 2", command, with_petsc


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    sizes, families = ("10000", "100000", "1000000", "4000000"), ("sill", "plinth", "metal")
    everything = ",".join(f"{family}:{size}" for family in families for size in sizes)
    parser.add_argument("--cases", default=everything, help="family:unknowns, separated by commas")
    arguments = parser.parse_args()
    subprocess.run(["cargo", "build", "--release", "--quiet", "--example", "speed"], cwd=ROOT, check=True)
    speed = str(ROOT / "target" / "release" / "examples" / "speed")
    python = environment()
    rows, slow = [], set()
    for family, size in (case.split(":") for case in arguments.cases.split(",")):
        # Beyond two million unknowns the slow ones take minutes; one run must do.
        runs = "3" if int(size) <= 2_000_000 else "1"
        folder = WORK / f"{family}-{size}"
        exported = line([speed, "export", family, size, str(folder)], 600)
        entries = [(f"coldseam {threads}", line([speed, "run", family, size, threads], 600)) for threads in ("1", "2")]
        for name, command, extra in libraries(python):
            if (family, name) in slow:
                continue
            command = [speed, "faer", family, size, runs] if command is None else command + [str(folder), runs]
            result = line(command, PATIENCE * int(runs), extra)
            if result is None or result["total"] > PATIENCE / 4:
                slow.add((family, name))
            entries.append((name, result))
        shutil.rmtree(folder, ignore_errors=True)
        rows.append((family, exported["unknowns"], entries))
        write(rows)


def write(rows):
    model = next((l.split(":")[1].strip() for l in open("/proc/cpuinfo") if l.startswith("model name")), platform.processor())
    text = ["# Speed comparison", ""]
    text += [
        f"Made by `python3 validation/speed/run.py` on {datetime.date.today()}; {model}, {os.cpu_count()} cores; {platform.system()}.",
        "",
        "Set-up and solution of the same matrices and right-hand sides, median of three runs (one beyond two million unknowns), one program at a time. Iterative methods stop",
        "at a relative residual of 1e-10; coldseam besides at a last change of 1e-9 of the largest entry. Direct solvers go further",
        "than that by nature. `coldseam` includes building the finest operator from the network of conductances; the others get a",
        "finished sparse matrix. Ratio: time over the best time of the other libraries. Memory is what a process took beyond the",
        "matrix, over all its runs. Timings of a shared machine vary by some 20 %.",
        "",
    ]
    versions = set()
    for family, unknowns, entries in rows:
        others = [r["total"] for n, r in entries if r and not n.startswith("coldseam")]
        best = min(others) if others else float("nan")
        text += [f"## {family}, {unknowns} unknowns", "", "| | time in ms | ratio | iterations | residual | memory in MB |", "|---|---:|---:|---:|---:|---:|"]
        for name, result in entries:
            if result is None:
                text.append(f"| {name} | failed or beyond patience | | | | |")
                continue
            if "library" in result:
                versions.add(f"{name.split()[0]}: {result['library']}")
            iterations = result.get("iterations", "")
            total, memory = result["total"], result["memory"] / 1e6
            text.append(f"| {name} | {total * 1e3:.1f} | {total / best:.2f} | {iterations} | {result['residual']:.0e} | {memory:.0f} |")
        text.append("")
    text += ["The number behind a name is that of threads or ranks. Versions: " + "; ".join(sorted(versions)) + ".", ""]
    (HERE / "RESULTS.md").write_text("\n".join(text))


main()
