"""Checks local times against Python's zoneinfo, an independent reader of the system's time zone database.

zones.py make FILE          writes "zone seconds" lines: every zone, many moments
zones.py check FILE READ    READ has "zone seconds year-month-day hour:minute:second" for each line
"""

import datetime
import random
import sys
import zoneinfo

UTC = datetime.timezone.utc


def moments(random_numbers):
    """Seconds after 1970: one on each day of months in which many rules change, and any moments."""
    for year, month in ((1985, 4), (2007, 3), (2026, 3), (2026, 10), (2026, 11), (2037, 3)):
        start = int(datetime.datetime(year, month, 1, tzinfo=UTC).timestamp())
        for day in range(0, 31):
            yield start + day * 86400 + random_numbers.randrange(86400)
    # Second by second about the changes of 2026: Europe, North America (New York and Los Angeles), New South Wales,
    # Lord Howe Island, which moves by half an hour, and Chile.
    for month, day, hour, minute in (
        *((3, 29, 1, 0), (10, 25, 1, 0), (3, 8, 7, 0), (11, 1, 6, 0), (3, 8, 10, 0), (11, 1, 9, 0)),
        *((4, 4, 16, 0), (10, 3, 16, 0), (4, 4, 15, 0), (10, 3, 15, 30), (4, 5, 3, 0), (9, 6, 4, 0)),
    ):
        at = int(datetime.datetime(2026, month, day, hour, minute, tzinfo=UTC).timestamp())
        yield from (at - 3600, at - 1, at, at + 1, at + 3599, at + 3600)
    for _ in range(60):
        yield random_numbers.randrange(-2_000_000_000, 4_102_444_800)


def make(path):
    random_numbers = random.Random(20261126)
    with open(path, "w") as out:
        for zone in sorted(zoneinfo.available_timezones()):
            for at in moments(random_numbers):
                out.write(f"{zone} {at}\n")


def check(asked, read):
    wrong, count, zones, offsets = [], 0, set(), set()
    with open(asked) as asked, open(read) as read:
        for line, found in zip(asked, read, strict=True):
            zone, seconds = line.split()
            moment = datetime.datetime.fromtimestamp(0, UTC) + datetime.timedelta(seconds=int(seconds))
            local = moment.astimezone(zoneinfo.ZoneInfo(zone))
            # A clock has whole seconds; early offsets of some zones have them too.
            wanted = f"{zone} {seconds} {local:%Y-%m-%d %H:%M:%S}"
            count += 1
            zones.add(zone)
            offsets.add(local.utcoffset())
            if found.rstrip("\n") != wanted:
                wrong.append(f"{found.rstrip()}, but zoneinfo has {wanted}")
    assert not wrong, f"{len(wrong)} of {count} differ:\n" + "\n".join(wrong[:20])
    assert count > 100_000 and len(zones) > 300 and len(offsets) > 40, (count, len(zones), len(offsets))
    print(f"{count} readings in {len(zones)} zones agree")


if sys.argv[1] == "make":
    make(sys.argv[2])
else:
    check(sys.argv[2], sys.argv[3])
