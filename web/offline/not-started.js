// If the program cannot start, the page says why and what to do. The build puts this into the head,
// where it runs before anything that can fail.
(function () {
  var told = false;
  function tell(words) {
    var loading = document.getElementById('loading');
    // Once the program runs it speaks for itself.
    if (told || !loading) return;
    told = true;
    loading.setAttribute('aria-busy', 'false');
    loading.innerHTML =
      '<div class="notice" role="alert" data-not-started><p>' + words + ' <a href="">Load again</a></p></div>';
  }
  var engine =
    'Airpath works the match out on your device with WebAssembly, which this browser does not offer. ' +
    'Update the browser or use another one; if a strict security mode or an extension has switched ' +
    'WebAssembly off, allow it for this page.';
  var part =
    'A part of Airpath did not arrive. Check the connection; if a filter or an extension blocks ' +
    'files ending in .wasm or .js, let this page through.';
  function failed(event) {
    var reason = event.reason || event.error || {};
    // A program that is no program at all is not the browser's fault: something else was sent.
    var refused = /^(Compile|Link)Error$/.test(reason.name) && !/magic|asm'/.test(reason.message);
    tell(typeof WebAssembly !== 'object' || refused ? engine : part);
  }
  addEventListener('error', failed, true);
  addEventListener('unhandledrejection', failed);
  document.addEventListener('DOMContentLoaded', function () {
    if (typeof WebAssembly !== 'object') tell(engine);
  });
})();
