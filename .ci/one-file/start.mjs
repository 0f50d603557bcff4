// Starts the page that is one file: its program and the program's parts stand in the page, packed by
// gzip and as base64. fflate unpacks them in every browser alike; a file opened from disk may fetch
// nothing.

import { gunzipSync } from 'fflate';
import init from 'airpath-glue';

const unpacked = (id) => {
  const element = document.getElementById(id);
  const packed = Uint8Array.from(atob(element.textContent), (letter) => letter.charCodeAt(0));
  element.remove();
  return gunzipSync(packed);
};

// What fetches parts looks here first: see .ci/xtask/src/split.rs.
globalThis.airpathPart = async (name) =>
  new Response(unpacked(`part:${name}`), { headers: { 'Content-Type': 'application/wasm' } });

init({ module_or_path: unpacked('program') });
