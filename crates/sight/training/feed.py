"""Batches made by many processes at once, handed over in shared memory.

Processes are forked before the device is touched. Each fills one slot of a
shared block with a batch of arrays of known shapes and names the slot; the
learner takes it to the device and gives the slot back.
"""

import mmap
import multiprocessing
import queue
import threading

import numpy as np
import torch


class Feed:
    """Batches of `size` examples, each a tuple of arrays like `shapes` = [(shape, dtype), ...]."""

    def __init__(self, make, shapes, size, workers, seed):
        self.shapes = [((size, *shape), np.dtype(kind)) for shape, kind in shapes]
        self.bytes = sum(int(np.prod(shape)) * kind.itemsize for shape, kind in self.shapes)
        slots = 2 * workers + 2
        self.block = mmap.mmap(-1, slots * self.bytes)
        fork = multiprocessing.get_context("fork")
        self.free, self.full = fork.SimpleQueue(), fork.SimpleQueue()
        for slot in range(slots):
            self.free.put(slot)
        self.processes = [
            fork.Process(target=self.work, args=(make, size, seed + nth), daemon=True) for nth in range(workers)
        ]
        for process in self.processes:
            process.start()

    def views(self, slot):
        at, out = slot * self.bytes, []
        for shape, kind in self.shapes:
            out.append(np.frombuffer(self.block, kind, int(np.prod(shape)), at).reshape(shape))
            at += out[-1].nbytes
        return out

    def work(self, make, size, seed):
        torch.set_num_threads(1)
        rng = np.random.default_rng(seed)
        while True:
            slot = self.free.get()
            views = self.views(slot)
            for nth in range(size):
                for view, value in zip(views, make(rng)):
                    view[nth] = value
            self.full.put(slot)

    def batches(self, device):
        """Batches on the device, some of them fetched ahead."""
        ahead = queue.Queue(3)

        def fetch():
            while True:
                slot = self.full.get()
                batch = [torch.from_numpy(view).to(device, copy=True) for view in self.views(slot)]
                self.free.put(slot)
                ahead.put(batch)

        threading.Thread(target=fetch, daemon=True).start()
        while True:
            yield ahead.get()

    def stop(self):
        for process in self.processes:
            process.terminate()
