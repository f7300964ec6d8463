"""Times one general-purpose library on one exported matrix and prints a line of JSON: python others.py LIBRARY FOLDER RUNS

The time is that of set-up and solution (analysis, factorisation and substitution for direct solvers) to a relative residual of
1e-10 where the method is iterative. Settings are the tuned ones: see the comment at each library.
"""
import json
import os
import resource
import statistics
import sys
import time

import numpy as np


def load(folder):
    read = lambda name, kind: np.fromfile(os.path.join(folder, name), dtype=kind)
    return read("indptr.i32", np.int32), read("indices.i32", np.int32), read("data.f64", np.float64), read("right.f64", np.float64)


def superlu(matrix, right):
    # Minimum degree on A + Aᵀ, symmetric mode: the best of its orderings here.
    import scipy
    import scipy.sparse.linalg as linalg

    options = dict(SymmetricMode=True)
    solve = lambda: linalg.splu(matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options).solve(right)
    return solve, f"SciPy {scipy.__version__}", 1


def pyamg(matrix, right):
    # Ruge–Stüben as preconditioner of conjugate gradients.
    import pyamg

    def solve():
        solver = pyamg.ruge_stuben_solver(matrix, max_coarse=500)
        return solver.solve(right, tol=1e-10, accel="cg", maxiter=200)

    return solve, f"PyAMG {pyamg.__version__}", 1


def pardiso(matrix, right):
    # Symmetric positive definite, upper triangle, minimum-degree ordering (iparm 2 = 0).
    import scipy.sparse as sparse
    from pypardiso import PyPardisoSolver

    upper = sparse.triu(matrix, format="csr")

    # Outside of the time: making the solver searches the disk for the library.
    solver = PyPardisoSolver(mtype=2)
    solver.set_iparm(1, 1)
    solver.set_iparm(2, 0)

    def solve():
        # The phases by hand: analysis with factorisation, then substitution. The wrapper's own calls check and hash the matrix.
        solver.set_phase(12)
        solver._call_pardiso(upper, right.reshape(-1, 1))
        solver.set_phase(33)
        solution = solver._call_pardiso(upper, right.reshape(-1, 1)).ravel()
        solver.free_memory(everything=True)
        return solution

    return solve, "Intel oneMKL PARDISO (pypardiso)", int(os.environ.get("MKL_NUM_THREADS", "2"))


def cholmod(matrix, right):
    # Approximate minimum degree; simplicial or supernodal as CHOLMOD itself judges.
    from sksparse import __version__
    from sksparse.cholmod import cholesky

    lower = matrix.tocsc()
    return (lambda: cholesky(lower, ordering_method="amd", mode="auto")(right)), f"CHOLMOD (scikit-sparse {__version__})", 1


def boomeramg(arrays):
    # BoomerAMG with Jacobi relaxation as preconditioner of conjugate gradients, as many ranks as MPI starts.
    import petsc4py

    petsc4py.init([])
    from petsc4py import PETSc

    indptr, indices, data, right = arrays
    size = len(indptr) - 1
    comm = PETSc.COMM_WORLD
    ranks, rank = comm.getSize(), comm.getRank()
    first, last = size * rank // ranks, size * (rank + 1) // ranks
    local = (indptr[first : last + 1] - indptr[first], indices[indptr[first] : indptr[last]], data[indptr[first] : indptr[last]])
    options = PETSc.Options()
    options["pc_hypre_boomeramg_relax_type_all"] = "Jacobi"
    options["pc_hypre_boomeramg_coarsen_type"] = "PMIS"
    options["pc_hypre_boomeramg_interp_type"] = "ext+i"
    matrix = PETSc.Mat().createAIJ(((last - first, size), (last - first, size)), csr=local, comm=comm)
    b = matrix.createVecLeft()
    b.setArray(right[first:last])
    x = matrix.createVecRight()

    def solve():
        solver = PETSc.KSP().create(comm)
        solver.setOperators(matrix)
        solver.setType("cg")
        solver.setNormType(PETSc.KSP.NormType.UNPRECONDITIONED)
        solver.getPC().setType("hypre")
        solver.setTolerances(rtol=1e-10, max_it=500)
        solver.setFromOptions()
        x.set(0.0)
        solver.solve(b, x)
        solver.destroy()
        return None

    def residual():
        r = b.duplicate()
        matrix.mult(x, r)
        r.axpy(-1.0, b)
        return r.norm() / b.norm()

    version = ".".join(map(str, PETSc.Sys.getVersion()))
    return solve, residual, f"BoomerAMG (hypre through PETSc {version})", ranks, rank


def main():
    library, folder, runs = sys.argv[1], sys.argv[2], int(sys.argv[3])
    arrays = load(folder)
    memory = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    rank = 0
    if library == "boomeramg":
        before = memory()
        solve, residual, version, threads, rank = boomeramg(arrays)
    else:
        import scipy.sparse as sparse

        indptr, indices, data, right = arrays
        size = len(indptr) - 1
        matrix = sparse.csr_matrix((data, indices, indptr), shape=(size, size))
        before = memory()
        solve, version, threads = {"superlu": superlu, "pyamg": pyamg, "pardiso": pardiso, "cholmod": cholmod}[library](matrix, right)
        residual = None
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        solution = solve()
        times.append(time.perf_counter() - start)
    relative = residual() if residual else float(np.linalg.norm(right - matrix @ solution) / np.linalg.norm(right))
    if rank == 0:
        result = dict(library=version, threads=threads, total=statistics.median(times), residual=relative, memory=memory() - before)
        print(json.dumps(result), flush=True)


main()
