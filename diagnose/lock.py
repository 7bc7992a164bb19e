"""An exclusive lock on an open file that the system itself lets go when the process dies."""

import os
import sys
from typing import Final

_FAR: Final = 1 << 30
"""Where Windows locks its byte: locks there also stop readers, so it lies far behind any event."""

if sys.platform == "win32":
    import msvcrt

    def lock(handle: int) -> bool:
        """Take the lock; False when another process has it."""
        os.lseek(handle, _FAR, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def unlock(handle: int) -> None:
        """Let the lock go."""
        os.lseek(handle, _FAR, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def lock(handle: int) -> bool:
        """Take the lock; False when another process (or another opening in this one) has it."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def unlock(handle: int) -> None:
        """Let the lock go."""
        fcntl.flock(handle, fcntl.LOCK_UN)
