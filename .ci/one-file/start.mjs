// Starts the page that is one file: its program stands in the page, packed by gzip and as base64.
// fflate unpacks it in every browser alike; a file opened from disk may fetch nothing.

import { gunzipSync } from 'fflate';
import init from 'airpath-glue';

const element = document.getElementById('program');
const packed = Uint8Array.from(atob(element.textContent), (letter) => letter.charCodeAt(0));
element.remove();
init({ module_or_path: gunzipSync(packed) });
