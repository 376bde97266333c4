#!/usr/bin/env python3
"""Writes the damaged meshes of this folder. Each is a small, sound mesh with one thing broken."""
import json
import pathlib
import struct

HERE = pathlib.Path(__file__).parent
TETRA = [(0, 0, 0), (10, 0, 0), (0, 10, 0), (0, 0, 10)]
FACES = [(0, 2, 1), (0, 1, 3), (1, 2, 3), (2, 0, 3)]


def write(name, data):
    (HERE / name).write_bytes(data if isinstance(data, bytes) else data.encode())


def stl_text(vertex=lambda v: "%g %g %g" % v, faces=FACES):
    out = ["solid tetra"]
    for f in faces:
        out += ["facet normal 0 0 0", "outer loop"]
        out += ["vertex " + vertex(TETRA[i]) for i in f]
        out += ["endloop", "endfacet"]
    return "\n".join(out + ["endsolid tetra", ""])


def stl_binary(header=b"", count=None, vertices=TETRA):
    body = b"".join(struct.pack("<12fH", 0, 0, 0, *[c for i in f for c in vertices[i]], 0) for f in FACES)
    return header.ljust(80, b" ") + struct.pack("<I", len(FACES) if count is None else count) + body


def glb(change=lambda d: None, binary=None, version=2, cut=0):
    data = struct.pack("<12f", *[float(c) for v in TETRA for c in v])
    data += struct.pack("<12H", *[i for f in FACES for i in f])
    doc = {
        "asset": {"version": "2.0"}, "scene": 0, "scenes": [{"nodes": [0]}], "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "accessors": [
            {"bufferView": 0, "componentType": 5126, "count": 4, "type": "VEC3"},
            {"bufferView": 1, "componentType": 5123, "count": 12, "type": "SCALAR"}],
        "bufferViews": [{"buffer": 0, "byteOffset": 0, "byteLength": 48}, {"buffer": 0, "byteOffset": 48, "byteLength": 24}],
        "buffers": [{"byteLength": 72}]}
    change(doc)
    text = json.dumps(doc).encode()
    text += b" " * (-len(text) % 4)
    data = data if binary is None else binary
    body = struct.pack("<I4s", len(text), b"JSON") + text + struct.pack("<I4s", len(data), b"BIN\0") + data
    out = struct.pack("<4sII", b"glTF", version, 12 + len(body)) + body
    return out[: len(out) - cut]


def ply(fmt="ascii", vertex="property float x\nproperty float y\nproperty float z\n", faces=4, body=""):
    return (f"ply\nformat {fmt} 1.0\ncomment tetra\nelement vertex 4\n{vertex}element face {faces}\n"
            f"property list uchar int vertex_indices\nend_header\n{body}")


PLY_VERTICES = "".join("%g %g %g\n" % v for v in TETRA)
PLY_FACES = "".join("3 %d %d %d\n" % f for f in FACES)
OBJ_VERTICES = "".join("v %g %g %g\n" % v for v in TETRA)

write("empty.stl", b"")
write("no-facets.stl", "solid nothing\nendsolid nothing\n")
write("truncated-text.stl", stl_text()[:150])
write("nan-text.stl", stl_text().replace("vertex 0 0 10", "vertex 0 nan 10", 1))
write("decimal-comma.stl", stl_text(lambda v: "%d,5 %d,5 %d,5" % v))
write("four-corners.stl", stl_text().replace("endloop", "vertex 1 1 1\nendloop", 1))
write("not-a-mesh.stl", "This is a letter, not a mesh. " * 5)
write("truncated-binary.stl", stl_binary()[:-30])
write("solid-header-truncated.stl", stl_binary(b"solid exported\0")[:-70])
write("nan-binary.stl", stl_binary(vertices=TETRA[:3] + [(0, 0, float("nan"))]))
write("count-of-millions.stl", stl_binary(count=4_000_000_000))
write("all-degenerate.stl", stl_binary(vertices=[(0, 0, 0)] * 4))
write("far-away.stl", stl_binary(vertices=TETRA[:3] + [(0, 0, 1e12)]))
write("index-beyond.obj", OBJ_VERTICES + "f 1 2 3\nf 1 2 5\n")
write("index-zero.obj", OBJ_VERTICES + "f 0 1 2\n")
write("negative-beyond.obj", OBJ_VERTICES + "f -1 -2 -9\n")
write("two-corners.obj", OBJ_VERTICES + "f 1 2\n")
write("short-vertex.obj", "v 1 2\n")
write("word-for-number.obj", "v 0 0 zero\n")
write("infinite.obj", OBJ_VERTICES + "v 1 inf 3\nf 1 2 5\n")
write("no-faces.obj", OBJ_VERTICES)
write("free-form.obj", "cstype bezier\n" + OBJ_VERTICES)
write("not-ply.ply", "solid\n")
write("no-end-header.ply", "ply\nformat ascii 1.0\n")
write("cloud.ply", "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n"
      "end_header\n" + PLY_VERTICES)
write("no-z.ply", ply(vertex="property float x\nproperty float y\n", body=PLY_VERTICES + PLY_FACES))
write("unknown-type.ply", ply(vertex="property real x\nproperty float y\nproperty float z\n"))
write("truncated-text.ply", ply(body=PLY_VERTICES + "3 0 2 1\n3 0"))
write("index-beyond.ply", ply(body=PLY_VERTICES + "3 0 2 1\n3 0 1 4\n3 1 2 3\n3 2 0 3\n"))
write("nan.ply", ply(body=PLY_VERTICES.replace("0 10 0", "0 nan 0") + PLY_FACES))
write("truncated-binary.ply", ply("binary_little_endian").encode() + struct.pack("<9f", *range(9)))
write("list-of-minus-one.ply", ply(body=PLY_VERTICES + "-1 0 2 1\n"))
write("not-glb.glb", "{}")
write("version-1.glb", glb(version=1))
write("truncated.glb", glb(cut=20))
write("bad-json.glb", glb().replace(b'"asset":', b'"asset";', 1))
write("draco.glb", glb(lambda d: d.update(extensionsRequired=["KHR_draco_mesh_compression"])))
write("sparse.glb", glb(lambda d: d["accessors"][0].update(sparse={"count": 1})))
write("outside-data.glb", glb(lambda d: d["buffers"][0].update(uri="more.bin")))
write("accessor-beyond.glb", glb(lambda d: d["accessors"][0].update(count=1000000)))
write("index-beyond.glb", glb(lambda d: d["accessors"][0].update(count=3)))
write("ring-of-nodes.glb", glb(lambda d: d["nodes"][0].update(children=[0])))
write("lines-only.glb", glb(lambda d: d["meshes"][0]["primitives"][0].update(mode=1)))
