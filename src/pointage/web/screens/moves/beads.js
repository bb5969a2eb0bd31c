// Times on the drawing of a week: which time a point of it is, and where a time lies. By the clock on
// the wall, as the drawing is, and so in UTC, which has no gaps.

export const STEP = 15; // minutes

export const written = (time) => {
  const [date, rest] = time.toISOString().split("T");
  return [date, rest.slice(0, 5)];
};

export const read = (day, clock) => new Date(`${day}T${clock}Z`);

const field = (there, day) => there.querySelector(`[data-day="${day}"]`);

// The quarter of an hour nearest to a point, on the day nearest to it.
export function timeAt(there, { clientX, clientY }) {
  const fields = [...there.querySelectorAll("[data-day]")];
  const near = (box) => Math.max(box.top - clientY, clientY - box.bottom, 0);
  const found = fields
    .map((each) => [each.dataset.day, each.getBoundingClientRect()])
    .sort(([, one], [, other]) => near(one) - near(other))[0];
  if (!found) return null;
  const [date, box] = found;
  const share = Math.min(1, Math.max(0, (clientX - box.left) / box.width));
  const steps = Math.min(Math.round((share * 1440) / STEP), 1440 / STEP - 1);
  return new Date(Date.parse(`${date}T00:00Z`) + steps * STEP * 60_000);
}

// Put something over a drawing where a time lies, as high as its day; false where it has no such day.
export function putAt(there, day, clock, what) {
  const row = field(there, day);
  if (!row || !clock) return false;
  const [hours, minutes] = clock.split(":").map(Number);
  const [frame, box] = [there.getBoundingClientRect(), row.getBoundingClientRect()];
  what.style.left = `${box.left - frame.left + ((hours + minutes / 60) / 24) * box.width}px`;
  what.style.top = `${box.top - frame.top}px`;
  what.style.height = `${box.height}px`;
  return true;
}

// Put something over a bead.
export function putOver(there, bead, what) {
  const [frame, box] = [there.getBoundingClientRect(), bead.getBoundingClientRect()];
  what.style.left = `${box.left + box.width / 2 - frame.left}px`;
  what.style.top = `${box.top + box.height / 2 - frame.top}px`;
}
