"""Ferry: bring the night ferry through the gaps of the moles, while the tide sets across.

The ferry goes by itself, to and fro; up and down hold it against the tide. Each crossing lights a lamp on the
quay and makes her faster. Three boats.

    glowloom show wall.toml socket        in one terminal
    python3 ferry.py                      in another; q ends it
"""

import math
import random

from wall import play

WATER, FOAM = (0, 12, 40), (20, 50, 90)
MOLE, QUAY = (90, 70, 50), (50, 50, 55)
FERRY, LAMP, SUNK = (255, 190, 60), (255, 120, 20), (120, 0, 20)


class Ferry:
    def __init__(self, columns, rows, seed=None):
        self.columns, self.rows = columns, rows
        self.chance = random.Random(seed)
        self.gap = max(3, rows // 4)
        self.time, self.boats, self.crossings = 0.0, 3, 0
        self.sunk = 0.0
        self.launch()

    @property
    def score(self):
        return f"{self.crossings} crossings, {self.boats} boats left"

    def launch(self):
        self.x, self.y, self.way = 2.0, self.rows / 2, 1
        # Moles across the way, each with a gap of its own.
        count = max(1, self.columns // 18)
        places = [(n + 1) * self.columns // (count + 1) for n in range(count)]
        self.moles = [(x, self.chance.uniform(1, self.rows - self.gap - 1)) for x in places]

    def tide(self):
        return (self.rows / 8) * math.sin(self.time * 0.7) + (self.rows / 20) * math.sin(self.time * 1.9)

    def step(self, seconds, held, pressed):
        self.time += seconds
        if self.boats == 0:
            if pressed & {"Space", "Enter"}:
                self.__init__(self.columns, self.rows)
            return
        if self.sunk > 0:
            self.sunk -= seconds
            if self.sunk <= 0:
                self.boats -= 1
                self.launch()
            return
        helm = ("ArrowDown" in held) - ("ArrowUp" in held)
        speed = self.columns / 12 * (1 + self.crossings / 12)
        self.x += self.way * speed * seconds
        self.y += (self.tide() + helm * self.rows / 3) * seconds
        self.y = min(max(self.y, 0.0), self.rows - 1.0)
        for x, top in self.moles:
            if abs(self.x - x) < 1 and not top <= self.y < top + self.gap:
                self.sunk = 1.5
        if self.x >= self.columns - 2 or self.x <= 1:
            self.way = -self.way
            self.x = min(max(self.x, 1.5), self.columns - 2.5)
            self.crossings += 1

    def draw(self, picture):
        picture.fill(WATER)
        # Foam drifts as the tide sets, so that it can be read.
        drift = self.time * 2 + self.tide()
        for n in range(self.columns // 3):
            picture.put(n * 3 + n % 2, (n * 7 + drift) % self.rows, FOAM)
        for x, top in self.moles:
            picture.block(x, 0, 1, top, MOLE)
            picture.block(x, math.ceil(top + self.gap), 1, self.rows, MOLE)
        picture.block(0, 0, 1, self.rows, QUAY)
        picture.block(self.columns - 1, 0, 1, self.rows, QUAY)
        for n in range(min(self.crossings, 2 * self.rows)):
            picture.put(0 if n % 2 else self.columns - 1, n // 2, LAMP)
        if self.boats:
            colour = SUNK if self.sunk > 0 else FERRY
            picture.block(self.x - 1, self.y, 3, 1, colour)
            for n in range(self.boats - 1):
                picture.put(2 + 2 * n, self.rows - 1, FERRY)


if __name__ == "__main__":
    play(Ferry, "Up and down hold the ferry against the tide. Space begins again, q ends.")
