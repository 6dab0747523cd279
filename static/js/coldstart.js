// Has the service worker keep today's bookings, once the page stands and at most every ten minutes.
// Browsers give a service worker to https and to the computer itself only.

const { user, dayPages, worker } = document.body.dataset;
const PAUSE = 10 * 60 * 1000; // ms

async function keepDay() {
  await navigator.serviceWorker.register(worker, { scope: "/" });
  const asked = `${user} ${Date.now() - (Date.now() % PAUSE)}`;
  if (sessionStorage.getItem("day-kept") === asked) return;
  const { active } = await navigator.serviceWorker.ready;
  const answer = await fetch(dayPages, { cache: "no-store" });
  if (!answer.ok) return;
  active.postMessage(await answer.json());
  sessionStorage.setItem("day-kept", asked);
}

if (navigator.serviceWorker && dayPages) {
  window.addEventListener("load", () => setTimeout(() => keepDay().catch(() => {}), 1500));
}
