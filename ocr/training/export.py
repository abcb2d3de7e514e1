"""Write a trained network to the file that the reader loads.

    python -m ocr.training.export face|characters WEIGHTS.pt OUT.onnx
    python -m ocr.training.export face|characters OLD.onnx OUT.onnx

Weights are stored as 16-bit floats, each widened by a Cast node when the file
is loaded: half the size, the same arithmetic. The second form only halves.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

if TYPE_CHECKING:
    from torch import nn

SHAPES = {"face": (1, 3, 256, 320), "characters": (1, 3, 128, 320)}
"""Of what each network is shown while it is traced; any size may follow."""
_WORTH_HALVING = 10_000
"""Numbers in a tensor. The small ones come first, where rounding does most harm."""


def write(which: str, net: nn.Module, path: Path) -> None:
    """Trace a network on the CPU and store it with halved weights."""
    import torch

    axes = {0: "n", 2: "h", 3: "w"}
    torch.onnx.export(
        net.eval().cpu(),
        torch.zeros(SHAPES[which]),
        str(path),
        input_names=["x"],
        output_names=["y"],
        dynamic_axes={"x": axes, "y": axes},
        dynamo=False,
        opset_version=17,
    )
    onnx.save(halved(onnx.load(path)), path)


def halved(model: onnx.ModelProto) -> onnx.ModelProto:
    """The same network, its larger weights stored as 16-bit floats.

    A model halved before comes back as it is.
    """
    graph = model.graph
    stored, casts = [], []
    for tensor in graph.initializer:
        values = numpy_helper.to_array(tensor)
        if values.dtype != np.float32 or values.size < _WORTH_HALVING:
            stored.append(tensor)
            continue
        half = f"{tensor.name}.half"
        stored.append(numpy_helper.from_array(values.astype(np.float16), half))
        casts.append(
            helper.make_node("Cast", [half], [tensor.name], to=TensorProto.FLOAT)
        )
    nodes = [*casts, *graph.node]
    del graph.initializer[:], graph.node[:]
    graph.initializer.extend(stored)
    graph.node.extend(nodes)
    onnx.checker.check_model(model)
    return model


def main() -> None:
    """Halve an ONNX file, or write one from trained weights."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("which", choices=sorted(SHAPES))
    options.add_argument("source", type=Path)
    options.add_argument("out", type=Path)
    chosen = options.parse_args()
    if chosen.source.suffix == ".onnx":
        onnx.save(halved(onnx.load(chosen.source)), chosen.out)
    else:
        import torch

        from ocr.training.networks import CharacterNet, FaceNet

        net = FaceNet() if chosen.which == "face" else CharacterNet()
        net.load_state_dict(torch.load(chosen.source, map_location="cpu"))
        write(chosen.which, net, chosen.out)
    print(chosen.out, f"{chosen.out.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
