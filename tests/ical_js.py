"""A calendar file as ical.js reads it, the strictest of readers: a JavaScript package.

It needs node and a folder with the package in it, which the environment variable SUNCOVER_ICAL_JS
names (`npm install ical.js` makes `node_modules`).
"""

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

READER = """
const { default: ICAL } = await import(process.argv[1]);
ICAL.design.strict = true;
ICAL.design.icalendar.property.name = { defaultType: 'text' };  // RFC 7986, new to ical.js 2.2
let text = '';
for await (const chunk of process.stdin) text += chunk;
const calendar = new ICAL.Component(ICAL.parse(text));
for (const zone of calendar.getAllSubcomponents('vtimezone')) ICAL.TimezoneService.register(zone);
const rows = [];
for (const vevent of calendar.getAllSubcomponents('vevent')) {
  const event = new ICAL.Event(vevent);
  const row = (one) => rows.push([event.uid, event.summary, one.startDate.toUnixTime(),
                                  one.endDate.toUnixTime(), event.description]);
  if (!event.isRecurring()) { row(event); continue; }
  const every = event.iterator();
  for (let at = every.next(); at; at = every.next()) row(event.getOccurrenceDetails(at));
}
const refresh = calendar.getFirstProperty('refresh-interval');
console.log(JSON.stringify({
  rows,
  name: calendar.getFirstPropertyValue('name'),
  refresh: refresh && [refresh.type, refresh.getFirstValue().toString()],
}));
"""


def read_with_ical_js(content: bytes, viewer_zone: str) -> dict[str, Any]:
    """Its rows (UID, summary, start, end, description; each time that an event repeats), name and
    refresh interval, in strict mode, where a viewer's clocks are those of a zone.
    """
    node, folder = shutil.which("node"), os.environ.get("SUNCOVER_ICAL_JS")
    if node is None:
        pytest.skip("node is not installed")
    if folder is None:
        pytest.skip("SUNCOVER_ICAL_JS does not name a node_modules folder with ical.js in it")
    module = Path(folder) / "ical.js" / "dist" / "ical.js"
    if not module.is_file():
        pytest.skip(f"there is no ical.js in {folder}")
    command = [node, "--input-type=module", "-e", READER, module.resolve().as_uri()]
    environment = {**os.environ, "TZ": viewer_zone}
    done = subprocess.run(command, input=content, capture_output=True, check=False, env=environment)
    assert done.returncode == 0, done.stderr.decode()
    found: dict[str, Any] = json.loads(done.stdout)
    return found
