// How far a release is, as the server tells it; when it has ended, the page is loaded anew and shows what came of it.

const run = document.getElementById("run");
const bar = document.getElementById("bar");
const told = document.getElementById("told");

const TENTH = 10;

function show(state) {
  if (state.of) {
    bar.max = state.of;
    bar.value = state.done;
  }
  document.getElementById("run-heading").textContent = `The release is ${state.state}`;
  document.getElementById("cancel").disabled = state.state !== "under way";
  // A reader aloud is told each tenth alone.
  const tenth = state.of ? Math.floor((TENTH * state.done) / state.of) : 0;
  told.setAttribute("aria-live", told.dataset.tenth === String(tenth) ? "off" : "polite");
  told.dataset.tenth = tenth;
  told.textContent = state.told;
}

const news = new EventSource(run.dataset.news);
news.addEventListener("message", (event) => {
  const state = JSON.parse(event.data);
  show(state);
  if (state.ended) {
    news.close();
    location.reload();
  }
});

// A server that was started anew knows nothing of the run.
news.addEventListener("error", () => {
  if (news.readyState === EventSource.CLOSED) location.reload();
});

document.getElementById("again").hidden = true;
