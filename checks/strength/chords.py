"""Solves a chopped model: straight Timoshenko beams, lumped mass, rigid arms and slip joints by Lagrange multipliers."""

import numpy as np
from scipy.sparse import bmat, coo_matrix, csc_matrix
from scipy.sparse.linalg import LinearOperator, eigsh, splu


def axes(along, normal=None):
    """Rows: the unit vector along, and two across it; the last is `normal`, if one is given."""
    along = along / np.linalg.norm(along)
    across = np.cross(np.eye(3)[np.argmin(np.abs(along))] if normal is None else normal, along)
    across /= np.linalg.norm(across)
    return np.array([along, across, np.cross(along, across)])


def cross(v):
    return np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])


def stiffness(p, length):
    """12 x 12 in the axes of the piece, shear included (Przemieniecki, Theory of Matrix Structural Analysis, from memory)."""
    K = np.zeros((12, 12))
    for at, c in ((0, p.E * p.A / length), (3, p.G * 2 * p.I / length)):
        K[np.ix_([at, at + 6], [at, at + 6])] += c * np.array([[1, -1], [-1, 1]])
    for rows, s, k in (([1, 5, 7, 11], 1, p.k[0]), ([2, 4, 8, 10], -1, p.k[1])):
        EI = p.E * p.I / k
        phi = 12 * EI / (p.G * p.shear_area * length**2)
        c, L = EI / (length**3 * (1 + phi)), length
        a, b = (4 + phi) * L * L, (2 - phi) * L * L
        K[np.ix_(rows, rows)] += c * np.array([[12, 6 * s * L, -12, 6 * s * L], [6 * s * L, a, -6 * s * L, b],
                                               [-12, -6 * s * L, 12, -6 * s * L], [6 * s * L, b, -6 * s * L, a]])
    return K


class Sum:
    """A sparse matrix summed from small blocks."""

    def __init__(self):
        self.rows, self.columns, self.values = [], [], []

    def add(self, where, block):
        rows, columns = np.meshgrid(where, where, indexing="ij")
        self.rows.append(rows.ravel())
        self.columns.append(columns.ravel())
        self.values.append(np.asarray(block).ravel())

    def matrix(self, size):
        parts = (np.concatenate(x) for x in (self.values, self.rows, self.columns))
        values, rows, columns = parts
        return coo_matrix((values, (rows, columns)), shape=(size, size)).tocsc()


def dofs(node):
    return np.arange(6 * node, 6 * node + 6)


def system(model, rotary):
    """K, M, load; `rotary`: with the rotary inertia of the sections."""
    size = 6 * len(model.nodes)
    K, M, load = Sum(), Sum(), np.zeros(size)
    for p in model.pieces:
        along = model.nodes[p.j] - model.nodes[p.i]
        length, R = np.linalg.norm(along), axes(along, p.normal)
        T = np.kron(np.eye(4), R)
        where = np.concatenate([dofs(p.i), dofs(p.j)])
        K.add(where, T.T @ stiffness(p, length) @ T)
        push = p.E * p.A * p.growth * R[0]
        load[where[:3]] -= push
        load[where[6:9]] += push
        half = p.density * length / 2
        inertia = half * p.I * (np.eye(3) + np.outer(R[0], R[0]))
        for node in (p.i, p.j):
            M.add(dofs(node)[:3], half * p.A * np.eye(3))
            M.add(dofs(node)[3:], inertia * rotary)
    for node, spring in model.springs:
        K.add(dofs(node), np.diag(spring))
    for node, mass in model.masses:
        M.add(dofs(node), np.diag(mass))
    for node, six in model.loads:
        load[dofs(node)] += six
    return K.matrix(size), M.matrix(size), load


def constraints(model):
    """C and d of C u = d: arms and slip joints."""
    rows, right = [], []
    for a, b, growth in model.arms:
        arm = model.nodes[b] - model.nodes[a]
        carry = np.block([[np.eye(3), -cross(arm)], [np.zeros((3, 3)), np.eye(3)]])
        for i in range(6):
            rows.append([(dofs(b), np.eye(6)[i]), (dofs(a), -carry[i])])
            right.append(growth * arm[i] if i < 3 else 0.0)
    for a, b, tangent in model.slips:
        for across in axes(tangent)[1:]:
            for first in (0, 3):
                one = np.zeros(6)
                one[first : first + 3] = across
                rows.append([(dofs(a), one), (dofs(b), -one)])
                right.append(0.0)
    C = np.zeros((len(rows), 6 * len(model.nodes)))
    for k, row in enumerate(rows):
        for where, values in row:
            C[k, where] += values
    return csc_matrix(C), np.array(right)


def solve(model, rotary=True):
    """Movement of every node (six each), reactions of the fixed ones, frequencies in Hz."""
    K, M, load = system(model, rotary)
    C, d = constraints(model)
    held = np.concatenate([dofs(n) for n in model.fixed])
    given = np.concatenate(list(model.fixed.values()))
    free = np.setdiff1d(np.arange(len(load)), held)
    scale = 1e9  # multipliers of the size of stiffnesses
    whole = bmat([[K[free][:, free], scale * C[:, free].T], [scale * C[:, free], None]]).tocsc()
    factors = splu(whole)
    right = np.concatenate([load[free] - K[free][:, held] @ given, scale * (d - C[:, held] @ given)])
    found = factors.solve(right)
    found += factors.solve(right - whole @ found)
    u = np.zeros(len(load))
    u[held], u[free] = given, found[: len(free)]
    forces = K @ u - load + scale * C.T @ found[len(free) :]
    frequencies = modes(M[free][:, free], factors, whole, model.modes) if model.modes else np.array([])
    return u.reshape(-1, 6), {n: forces[dofs(n)] for n in model.fixed}, frequencies


def modes(M, factors, whole, count):
    size = whole.shape[0]
    mass = bmat([[M, None], [None, csc_matrix((size - M.shape[0],) * 2)]]).tocsc()
    start = factors.solve(mass @ np.cos(np.arange(size)))
    inverse = LinearOperator((size, size), factors.solve)
    values = eigsh(whole, count, mass, sigma=0.0, OPinv=inverse, v0=start, return_eigenvectors=False, tol=1e-10)
    return np.sqrt(np.sort(values)) / (2 * np.pi)
