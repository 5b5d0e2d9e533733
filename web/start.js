// Starts the page, then sees to it that it opens without a network the next time.
import init from "./tober_page.js";

try {
  await init();
} catch (error) {
  const words = document.createElement("p");
  words.setAttribute("role", "alert");
  words.textContent = `The page could not start (${error}). It needs a browser of the last few years.`;
  document.body.prepend(words);
  throw error;
}

if ("serviceWorker" in navigator) {
  // The worker of a newer version has just taken over from an older one. Whoever has only opened
  // the page gets the new version at once; whoever is working on it gets it at the next visit.
  let isUpdate = navigator.serviceWorker.controller !== null;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (isUpdate && !navigator.userActivation?.hasBeenActive) location.reload();
    isUpdate = true;
  });
  await navigator.serviceWorker.register("./service-worker.js", { updateViaCache: "none" });
}
