"""Path-traced pictures of whole bodies that the picture benchmark compares with."""

import os
from pathlib import Path

# Mitsuba's compiled variants crash with Debian 12's LLVM on some processors. It is loaded once,
# when drjit is first imported, so a newer one is named before any module of this package is.
if "DRJIT_LIBLLVM_PATH" not in os.environ:
    newer = sorted(Path("/root/.rustup/toolchains").glob("stable-*/lib/libLLVM.so.*"))
    if newer:
        os.environ["DRJIT_LIBLLVM_PATH"] = str(newer[0])
