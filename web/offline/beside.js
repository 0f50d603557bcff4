// Runs the program beside the page, so that what takes seconds does not hold it up: see web/src/beside.rs.

self.onmessage = async ({ data: { glue, program, job } }) => {
  try {
    const page = await import(glue);
    await page.default({ module_or_path: program });
    await page.work(job, (text) => self.postMessage({ text }));
    self.postMessage({ done: true });
  } catch (error) {
    self.postMessage({ failed: String(error) });
  }
};
