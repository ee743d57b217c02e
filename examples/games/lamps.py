"""Lamps: keep the lamps of the quay burning through a windy night.

Walk with left and right; up trims the lamp above you. Gusts run along the quay, and each lamp that they pass
loses oil. When no lamp burns the night is over.

    glowloom show wall.toml socket        in one terminal
    python3 lamps.py                      in another; q ends it
"""

import random

from wall import play

SKY, STONES, POST = (2, 4, 14), (30, 26, 24), (45, 40, 38)
WIND, COAT = (30, 50, 70), (60, 160, 190)


class Lamps:
    def __init__(self, columns, rows, seed=None):
        self.columns, self.rows = columns, rows
        self.chance = random.Random(seed)
        count = max(3, columns // 8)
        self.places = [(2 * n + 1) * columns // (2 * count) for n in range(count)]
        self.oil = [1.0] * count
        self.x, self.time, self.gusts, self.next = columns / 2, 0.0, [], 1.0

    @property
    def score(self):
        burning = sum(oil > 0 for oil in self.oil)
        return f"{int(self.time // 10) * 10} s, {burning} of {len(self.oil)} lamps burn"

    def step(self, seconds, held, pressed):
        if not any(oil > 0 for oil in self.oil):
            if pressed & {"Space", "Enter"}:
                self.__init__(self.columns, self.rows)
            return
        self.time += seconds
        walk = ("ArrowRight" in held) - ("ArrowLeft" in held)
        self.x = min(max(self.x + walk * self.columns / 3 * seconds, 0), self.columns - 1)
        if pressed & {"ArrowUp", "Space"}:
            for n, place in enumerate(self.places):
                if abs(place - self.x) <= 2:
                    self.oil[n] = 1.0
        self.next -= seconds
        if self.next <= 0:
            way = self.chance.choice((-1, 1))
            speed = self.chance.uniform(0.4, 0.9) * self.columns / 4
            self.gusts.append([0.0 if way > 0 else self.columns - 1.0, way * speed])
            # The night grows windier.
            self.next = self.chance.uniform(1.0, 3.0) / (1 + self.time / 60)
        for gust in self.gusts:
            before = gust[0]
            gust[0] += gust[1] * seconds
            for n, place in enumerate(self.places):
                if min(before, gust[0]) <= place < max(before, gust[0]):
                    self.oil[n] = max(0.0, self.oil[n] - 0.35)
        self.gusts = [gust for gust in self.gusts if 0 <= gust[0] < self.columns]
        self.oil = [max(0.0, oil - seconds / 90) for oil in self.oil]

    def draw(self, picture):
        picture.fill(SKY)
        foot = self.rows - 1
        head = max(1, self.rows // 3)
        picture.block(0, foot, self.columns, 1, STONES)
        for gust in self.gusts:
            for row in range(0, foot, 2):
                picture.put(gust[0] - row / 4 * (1 if gust[1] > 0 else -1), row, WIND)
        for place, oil in zip(self.places, self.oil):
            picture.block(place, head, 1, foot - head, POST)
            glow = (int(255 * oil), int(150 * oil**1.3), int(40 * oil**2))
            dim = tuple(value // 4 for value in glow)
            picture.block(place - 1, head - 1, 3, 2, dim)
            picture.block(place, head - 1, 1, 2, glow)
        picture.block(self.x, max(0, foot - 2), 1, 2, COAT)


if __name__ == "__main__":
    play(Lamps, "Left and right walk, up trims the lamp above. Space begins again, q ends.")
