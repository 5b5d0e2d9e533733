// Starts the page, and sees to it that it opens without a network the next time.

// The worker of a newer version may take over from an older one while the page still starts, so
// this comes first. Whoever has only opened the page gets the new version at once; whoever is
// working on it gets it at the next visit.
const worker = navigator.serviceWorker;
let isUpdate = Boolean(worker?.controller);
worker?.addEventListener("controllerchange", () => {
  if (isUpdate && !navigator.userActivation?.hasBeenActive) location.reload();
  isUpdate = true;
});

try {
  const { default: init } = await import("./tober_page.js");
  await init();
} catch (error) {
  const words = document.createElement("p");
  words.setAttribute("role", "alert");
  words.textContent = `The page could not start (${error}). It needs a browser of the last few years.`;
  document.body.prepend(words);
  throw error;
}

await worker?.register("./service-worker.js", { updateViaCache: "none" });
