"""The two networks, as crates/sight runs them.

`Rings` sees a strip (rings straightened, unrolled round the pith) and says for
each place whether a year ends there, whether it is wood and how far it can be
relied on, and for each course, from the whole circle, whether a year ends there and how wide rings run.
`Scene` sees a whole photo small and says where the wood is and where its pith.
"""

import torch
import torch.nn as nn
import torch.nn.functional as F

from examples import CHANNELS

GROUPS = 16


class Conv(nn.Module):
    """3 by 3, normalized, rectified; rows close into a circle where `round` is set."""

    def __init__(self, inner, outer, round_):
        super().__init__()
        self.conv = nn.Conv2d(inner, outer, 3, bias=False)
        self.norm = nn.BatchNorm2d(outer)
        self.round = round_

    def forward(self, x):
        x = F.pad(x, (0, 0, 1, 1), mode="circular") if self.round else F.pad(x, (0, 0, 1, 1))
        return F.relu(self.norm(self.conv(F.pad(x, (1, 1, 0, 0)))))


class Unet(nn.Module):
    """Down by halves and up again, adding what was seen on the way down."""

    def __init__(self, inner, widths, round_):
        super().__init__()
        self.down = nn.ModuleList()
        for level, width in enumerate(widths):
            before = inner if level == 0 else widths[level - 1]
            self.down.append(nn.Sequential(Conv(before, width, round_), Conv(width, width, round_)))
        self.rise = nn.ModuleList()
        self.up = nn.ModuleList()
        for above, width in zip(widths[:0:-1], widths[-2::-1]):
            self.rise.append(nn.Conv2d(above, width, 1))
            self.up.append(Conv(width, width, round_))

    def forward(self, x):
        kept = []
        for level, block in enumerate(self.down):
            x = block(x if level == 0 else F.max_pool2d(x, 2))
            kept.append(x)
        deepest = kept.pop()
        x = deepest
        for rise, up in zip(self.rise, self.up):
            x = up(F.interpolate(rise(x), scale_factor=2) + kept.pop())
        return x, deepest


class Line(nn.Module):
    """A residual step along the courses."""

    def __init__(self, width, apart):
        super().__init__()
        self.wide = nn.Conv1d(width, width, 3, dilation=apart, padding=apart)
        self.mix = nn.Conv1d(width, width, 1)

    def forward(self, x):
        return x + self.mix(F.relu(self.wide(x)))


class Rings(nn.Module):
    FEATURES, WIDTH, APART, CLASSES = 12, 48, (1, 2, 4, 8, 16, 32, 64, 1), 4

    def __init__(self, widths=(16, 24, 32, 48, 64)):
        super().__init__()
        self.unet = Unet(CHANNELS, widths, True)
        self.places = nn.Conv2d(widths[0], 3 + self.FEATURES, 1)
        self.kind = nn.Linear(widths[-1], self.CLASSES)
        self.enter = nn.Conv1d(self.FEATURES + 9 + self.CLASSES, self.WIDTH, 5, padding=2)
        self.along = nn.ModuleList(Line(self.WIDTH, apart) for apart in self.APART)
        self.leave = nn.Conv1d(self.WIDTH, 2, 1)

    def forward(self, strip, given):
        """strip [n, 6, 256, courses], given class [n, 4] (1 for it, all 0 where not given) -> places [n, 3, 256, courses], courses [n, 2, courses], kinds [n, 4]"""
        x, deepest = self.unet(strip)
        out = self.places(x)
        ends, wood, features = out[:, 0], out[:, 1], F.relu(out[:, 2 : 2 + self.FEATURES])
        seen = strip[:, 2] * torch.sigmoid(out[:, -1])
        total = seen.sum(1) + 1e-3
        mean = lambda field: (field * seen).sum(1) / total
        chance = torch.sigmoid(ends)
        rows = chance.shape[1] // GROUPS
        by_group = lambda field: field.reshape(field.shape[0], GROUPS, rows, -1).sum(2)
        share = by_group(seen) + 1e-3
        grouped = by_group(chance * seen) / share
        there = (share > 0.25 * rows).to(grouped.dtype)
        count = there.sum(1) + 1e-3
        middle = (grouped * there).sum(1) / count
        spread = torch.sqrt((((grouped - middle[:, None]) ** 2) * there).sum(1) / count + 1e-6)
        shown = (torch.sigmoid(12 * (grouped - 0.4)) * there).sum(1) / count
        lines = torch.stack(
            [
                mean(chance), mean(ends) / 4, mean(torch.sigmoid(wood)), mean(strip[:, 0]), mean(strip[:, 1]),
                seen.mean(1), spread, shown, (grouped * there).amax(1),
            ],
            1,
        )
        pooled = (features * seen[:, None]).sum(2) / total[:, None]
        given = given[:, :, None].expand(-1, -1, lines.shape[2])
        y = F.relu(self.enter(torch.cat([pooled, lines, given.to(lines.dtype)], 1)))
        for step in self.along:
            y = step(y)
        weight = F.avg_pool2d((seen * torch.sigmoid(wood))[:, None], 16)
        kinds = self.kind((deepest * weight).sum((2, 3)) / (weight.sum((2, 3)) + 1e-3))
        return torch.cat([out[:, :2], out[:, -1:]], 1), self.leave(F.relu(y)), kinds


class Scene(nn.Module):
    def __init__(self, widths=(12, 16, 24, 32, 48, 64)):
        super().__init__()
        self.unet = Unet(3, widths, False)
        self.places = nn.Conv2d(widths[0], 4, 1)

    def forward(self, small):
        """small [n, 3, 256, 256] -> [n, 4, 256, 256]: wood, pith, and the way to the pith (x, y)"""
        return self.places(self.unet(small)[0])
