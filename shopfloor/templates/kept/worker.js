{% load static %}/* The service worker: sends kept taps when the connection is back, also with every page closed, and shows the pages
   of the Bench and the Shelf as they last were while there is none. Pages of one person are never kept for another. */
"use strict";
importScripts("{% static 'shopfloor/kept.js' %}");
const PAGES = "pages ", FILES = "files", PATIENCE_MS = 8000;
const KEPT_PAGES = /^\/(bench|shelf)\//, NAMED_BY_CONTENT = /\.[0-9a-f]{12}\.\w+$/;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("sync", (event) => {
  if (event.tag === "kept-taps") event.waitUntil(sent());
});
const sent = async () => {
  await keptTaps.send();
  for (const page of await clients.matchAll()) page.postMessage("sent");
  if ((await keptTaps.all()).some((tap) => tap.state === "waiting")) throw new Error("still waiting");
};

addEventListener("fetch", (event) => {
  const asked = event.request, address = new URL(asked.url);
  if (asked.method !== "GET" || address.origin !== location.origin) return;
  if (asked.mode === "navigate") event.respondWith(page(asked, address));
  else if (NAMED_BY_CONTENT.test(address.pathname)) event.respondWith(file(asked));
});
/* The Bench asks for the weights of the next mix beforehand, so that it can be weighed and started without a connection */
addEventListener("message", (event) => event.waitUntil(page(new Request(event.data), new URL(event.data)).catch(() => {})));
const file = async (asked) => {
  const files = await caches.open(FILES), kept = await files.match(asked);
  if (kept) return kept;
  const answer = await fetch(asked);
  if (answer.ok) files.put(asked, answer.clone());
  return answer;
};
const page = async (asked, address) => {
  const isKept = KEPT_PAGES.test(address.pathname);
  let answer = null;
  try {
    const fetched = fetch(asked);
    answer = isKept ? await Promise.race([fetched, new Promise((_, late) => setTimeout(late, PATIENCE_MS, new Error("late")))]) : await fetched;
  } catch { return away(address); }
  const person = answer.headers.get("Studio-Person");
  if (person !== null) {
    for (const name of await caches.keys()) if (name.startsWith(PAGES) && name !== PAGES + person) await caches.delete(name);
    if (isKept && person && answer.ok && !answer.redirected) (await caches.open(PAGES + person)).put(address.pathname, await stamped(answer.clone()));
  }
  return answer;
};
const stamped = async (answer) => new Response(await answer.text(), { headers: { ...Object.fromEntries(answer.headers), "Kept-At": String(Date.now()) } });

/* The page as it last was, with the time that has gone by since put onto its clock, and without what it said then. */
const away = async (address) => {
  for (const name of (await caches.keys()).filter((one) => one.startsWith(PAGES))) {
    const pages = await caches.open(name), found = await pages.match(address.pathname);
    if (found) return aged(found);
    if (await pages.match("/bench/")) return Response.redirect("/bench/");
  }
  return new Response("<!doctype html><html lang=\"en-GB\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\"><title>No connection</title><h1>No connection</h1><p>This page was not opened on this device before. <a href=\"/bench/\">Open the Bench</a> when the connection is back.</p></html>",
    { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
};
const aged = async (found) => {
  const keptAt = Number(found.headers.get("Kept-At")), gone = Date.now() - keptAt;
  const html = (await found.text()).replace(/<body data-now="([^"]*?)([+-]\d\d):?(\d\d)"/, (_, wall, hours, minutes) => {
    const later = new Date(Date.parse(`${wall}Z`) + gone).toISOString().replace("Z", "");
    return `<body data-kept-at="${keptAt}" data-now="${later}${hours}:${minutes}"`;
  }).replace(/<div id="said"[\s\S]*?<!-- said -->/, "");
  return new Response(html, { headers: found.headers });
};
