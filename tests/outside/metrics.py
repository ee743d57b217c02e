"""An independent parser (PyPI: prometheus_client 0.26.0) reads the OpenMetrics text of `status`.

Usage: metrics.py PROGRAM WALL WORKDIR

The wall's receivers are at 127.0.0.11 and 127.0.0.12. Nobody listens there first; then `panels` does.
The figures must be those of the JSON document that is asked for at the same time, within a second or two
of frames.
"""

import json
import os
import subprocess
import sys
import time

from prometheus_client.openmetrics.parser import text_string_to_metric_families


def read(program, wall):
    """All samples by name and panel, and the exit code."""
    done = subprocess.run([program, "status", wall, "--metrics"], capture_output=True, text=True)
    samples = {}
    for family in text_string_to_metric_families(done.stdout):
        assert family.documentation and family.type in ("gauge", "counter"), family
        for sample in family.samples:
            assert sample.labels["wall"] == 'Break"water', sample
            samples[sample.name, sample.labels.get("panel")] = sample.value
    return samples, done.returncode


def main(program, wall, work):
    os.environ["XDG_RUNTIME_DIR"] = os.environ["XDG_DATA_HOME"] = work
    with open(wall) as file:
        text = file.read()
    with open(wall, "w") as file:
        file.write(text.replace('name = "Breakwater"', 'name = "Break\\"water"'))
    assert read(program, wall) == ({("glowloom_up", None): 0}, 1)
    show = subprocess.Popen([program, "show", wall, "count", "--for", "12s"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    time.sleep(4)
    samples, code = read(program, wall)
    assert code == 1 and samples["glowloom_up", None] == 1, samples
    for panel in "ab":
        assert samples["glowloom_panel_well", panel] == 0, samples
        assert samples["glowloom_panel_frames_dropped_total", panel] > 30, samples
    panels = subprocess.Popen([program, "panels", wall, "--for", "6s"], stdout=subprocess.DEVNULL)
    time.sleep(4)
    samples, code = read(program, wall)
    told = json.loads(subprocess.run([program, "status", wall, "--json"], capture_output=True, text=True).stdout)
    assert code == 0 and told["format"] == 1 and told["process"] == show.pid, (code, told)
    for panel in told["panels"]:
        name = panel["name"]
        assert panel["well"] and samples["glowloom_panel_well", name] == 1, (panel, samples)
        assert panel["answers"] is True and samples["glowloom_panel_answers", name] == 1, (panel, samples)
        sent = samples["glowloom_panel_frames_sent_total", name]
        assert 0 <= panel["frames_sent"] - sent <= 90, (panel, sent)
    assert 0 <= told["frames_sent"] - samples["glowloom_frames_sent_total", None] <= 90, (told, samples)
    assert samples["glowloom_frame_rate", None] > 10, samples
    panels.wait()
    show.wait()
    assert show.returncode == 0, show.returncode
    assert read(program, wall) == ({("glowloom_up", None): 0}, 1)


main(*sys.argv[1:])
