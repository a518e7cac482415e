// Follows a run: every second the fragment that says how far it is; at its end the page.
"use strict";

(() => {
  const box = document.querySelector("[data-follow]");
  const said = document.querySelector("[data-follow-said]");
  if (!box || !said) return;
  const pause = 1000;
  const patience = 10;
  let misses = 0;

  const ask = async () => {
    const answer = await fetch(box.dataset.follow, { headers: { Accept: "text/html" } });
    if (!answer.ok) throw new Error(String(answer.status));
    if (answer.headers.get("X-Run-Finished") === "yes") {
      window.location.reload();
      return;
    }
    box.innerHTML = await answer.text();
    // Screen readers hear of a new phase, not of every second.
    const phase = box.querySelector("[data-phase]").textContent;
    if (said.textContent !== phase) said.textContent = phase;
    misses = 0;
    setTimeout(follow, pause);
  };
  // A lost connection is waited out, ever longer, and then left to the reader.
  const follow = () =>
    ask().catch(() => {
      misses += 1;
      if (misses <= patience) setTimeout(follow, pause * misses);
    });

  setTimeout(follow, pause);
})();
