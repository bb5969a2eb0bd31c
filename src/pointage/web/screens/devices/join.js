// What was said on this device and is not sent yet is kept until it has joined again.

import { waiting } from "./outbox.js";
import { say } from "./texts.js";

const kept = (await waiting()).length;
if (kept) {
  const words = document.getElementById("waits");
  words.textContent = kept === 1 ? say("one_waits") : say("some_wait", { n: kept });
  words.hidden = false;
}
