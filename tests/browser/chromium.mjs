// The Chromium that checks and measurements run in.

/** The program. */
export const CHROMIUM = process.env.CHROMIUM || '/usr/bin/chromium';

/** How it is started: alone, without a screen, and with no way out. */
export const ARGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  // Nothing but a server on this machine can be reached, whatever a page asks for.
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
];
