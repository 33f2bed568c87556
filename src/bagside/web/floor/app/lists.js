// Lists: every step of the build, what waits in the queue, the builds on the bench with this device's own choices.

import { isDone, currentOf } from "./course.js";
import { h, spoken } from "./h.js";
import { asked as request, again, link, remove } from "./queue.js";
import { clockTime, say, told } from "./say.js";
import { picker } from "./photo.js";
import * as drafts from "./drafts.js";
import * as store from "./store.js";

const close = (app) => h("div", { class: "row last" }, h("button", { type: "button", class: "back word", onclick: () => app.close() }, say("close_list")));

export function stepsScreen(app) {
  const state = app.state();
  const current = currentOf(app.screens, state);
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("all_steps")),
    h("ol", { class: "steps" }, app.screens.map((screen) => h("li", {},
      h("button", {
        type: "button", class: screen === current ? "here" : isDone(state, screen) ? "gone" : "", "aria-current": screen === app.screen ? "step" : null,
        onclick: () => app.go(screen),
      }, app.nameOf(screen))))), close(app));
}

export function queueScreen(app) {
  const open = app.queue.filter((i) => i.state === "waiting");
  const refused = app.queue.filter((i) => i.state === "refused");
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("queue_title")),
    link.joined ? "" : h("div", { class: "caution" }, h("p", {}, say("join_why")), h("p", {}, h("a", { href: `/join?to=${encodeURIComponent(location.pathname)}` }, say("join_again")))),
    link.said && link.joined ? h("p", { lang: "en" }, say("error_server", { why: link.said })) : "",
    link.online ? "" : h("p", {}, say(window.isSecureContext ? "offline_now_safe" : "offline_now")),
    open.length || refused.length ? "" : h("p", {}, say("queue_none")),
    open.length ? h("ul", { class: "plain" }, open.map((i) => h("li", {}, `${clockTime(i.at)} ${i.build} ${itemWords(app, i)}`))) : "",
    refused.length ? [h("h2", {}, say("refused_title")), h("p", { class: "q" }, say("refused_why"))] : "",
    refused.map((i) => h("div", { class: "gate" }, h("b", {}, `${clockTime(i.at)} ${i.build} ${itemWords(app, i)}`),
      (i.said ?? []).map((s) => h("p", { lang: "en" }, s)),
      h("div", { class: "row" },
        h("button", { type: "button", "data-key": `note-${i.seq}`, onclick: (event) => app.press(`decide-${i.seq}`, event, () => decide(app, i, true)) }, say("as_note")),
        h("button", { type: "button", "data-key": `again-${i.seq}`, onclick: (event) => app.press(`decide-${i.seq}`, event, () => again(i)) }, say("send_again")),
        h("button", { type: "button", "data-key": `drop-${i.seq}`, onclick: (event) => app.press(`decide-${i.seq}`, event, () => decide(app, i, false)) }, say("drop"))))), close(app));
}

// What was refused goes, and its words stand in the note of the step in hand: one write.
async function decide(app, item, noted) {
  const key = app.screen.step.key;
  const about = item.build === app.build.build ? "" : `${item.build} `;
  const words = `${clockTime(item.at)} ${about}${itemWords(app, item)}: ${(item.said ?? []).join(" ")}`;
  const text = [app.noteOf(key), words].filter(Boolean).join("\n");
  await drafts.keep(noted ? [app.draftOf(`note/${key}`, { text })] : [], (changes) => remove(item, changes));
}

export function itemWords(app, { kind, data }) {
  const what = kind === "laid" ? data.piece : kind === "debulked" ? data.after : kind === "opened" ? data.thing
    : kind === "measured" ? [data.found, data.place].filter(Boolean).join(" ")
      : (() => { const s = app.build?.steps.find((one) => one.key === data.step); return s ? told(s.name).text : data.step ?? ""; })();
  return say(`kind_${kind.replaceAll("-", "_")}`, { what });
}

export function buildsScreen(app) {
  const found = app.builds ?? [];
  const told_ = new URLSearchParams(location.search);
  return h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("builds")),
    told_.get("unknown") ? h("p", { class: "stop" }, say("scan_unknown", { code: told_.get("unknown") })) : "",
    told_.get("thing") ? h("p", {}, say("scan_thing", { name: told_.get("thing"), sort: say(["kit", "roll", "offcut"].includes(told_.get("sort")) ? `sort_${told_.get("sort")}` : "sort_other") })) : "",
    link.online ? "" : h("p", { class: "stop" }, say(window.isSecureContext ? "offline_now_safe" : "offline_now")),
    link.said && link.joined ? h("p", { class: "stop", lang: "en" }, say("error_server", { why: link.said })) : "",
    link.joined ? "" : h("p", {}, h("a", { href: `/join?to=${encodeURIComponent(location.pathname)}` }, say("join_again"))),
    app.buildsWhy ? h("p", { class: "stop", lang: "en" }, app.buildsWhy) : "",
    found.length ? "" : h("p", {}, say(app.builds === null ? "loading_builds" : "no_builds")),
    h("ul", { class: "builds" }, found.map((b) => h("li", {}, h("button", {
      type: "button", "data-key": `build-${b.build}`, onclick: () => app.openBuild(b.build),
    }, h("b", {}, b.build), h("span", {}, `${b.job}, ${say("part_of", { n: b.number, of: b.quantity })}`),
    b.next ? spoken("span", { ...told(b.next), text: say(b.running ? "running" : "next_is", { step: told(b.next).text }) }) : h("span", {}, say("all_done")),
    h("span", { class: "q" }, say(b.kept ? "kept_here" : "not_kept")))))),
    scanning(app), own(app), app.build ? close(app) : "");
}

function scanning(app) {
  const field = h("input", { id: "code", type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", maxlength: "300" });
  const go = () => { if (field.value.trim()) app.scan(field.value.trim()); };
  const input = picker(async (photo) => {
    if (!photo) return app.speak(say("error_photo"));
    const answer = await request("/floor/photo/code", { method: "POST", body: photo, headers: { "Content-Type": "image/jpeg" } });
    if (answer?.ok) app.scan(answer.data.code);
    else app.speak(answer?.said ?? say("offline_now"));
    return null;
  });
  field.addEventListener("keydown", (event) => { if (event.key === "Enter") go(); event.stopPropagation(); });
  return [h("h2", {}, say("scan")), h("p", { class: "q" }, say("scan_how")),
    h("button", { type: "button", onclick: () => input.click() }, say("scan_photo")), input,
    h("label", { for: "code" }, say("scan_type")), field, h("button", { type: "button", onclick: go }, say("scan_go"))];
}

function own(app) {
  const choice = (name, values, words) => h("fieldset", {}, h("legend", {}, say(name)), h("div", { class: "row" },
    values.map((v, n) => h("button", {
      type: "button", "data-key": `${name}-${v}`, "aria-pressed": String((app.choices[name] ?? values[0]) === v), onclick: () => app.choose(name, v),
    }, words[n]))));
  return [h("h2", {}, say("this_device")), whoField(app),
    choice("language", Object.keys(app.languages), Object.values(app.languages)),
    choice("theme", ["light", "dark", "sun"], ["light", "dark", "sun"].map((t) => say(`theme_${t}`))),
    choice("heat", ["celsius", "fahrenheit"], ["°C", "°F"]),
    choice("lengths", ["metric", "inch"], [say("metric"), say("inch")]),
    choice("gauge", ["absolute", "below"], [say("gauge_absolute"), say("gauge_below")]),
    h("p", { class: "q" }, say(window.isSecureContext ? "offline_secure" : "offline_insecure"))];
}

export function whoField(app, first = false) {
  const field = h("input", { id: "who", type: "text", autocomplete: "name", maxlength: "60" });
  field.value = app.who;
  const set = () => { if (field.value.trim()) app.setWho(field.value.trim()); };
  field.addEventListener("keydown", (event) => { if (event.key === "Enter") set(); event.stopPropagation(); });
  return [h("label", { for: "who" }, say("who")), h("p", { class: "q" }, say("who_ask")), field,
    h("button", { type: "button", class: first ? "go" : "", onclick: set }, say("who_go"))];
}

export const whoScreen = (app) => h("section", { class: "pad" }, h("h1", { tabindex: "-1" }, say("who")), whoField(app, true).slice(1));

export async function readBuilds(app) {
  const answer = await request("/floor/builds.json");
  const kept = await store.all("builds");
  if (answer?.ok) {
    app.builds = answer.data.builds.map((b) => ({ ...b, kept: kept.some((k) => k.build === b.build) }));
    app.buildsWhy = answer.data.why;
    await store.keep("builds", answer.data.builds);
  } else {
    const last = await store.kept("builds", []);
    app.builds = last.filter((b) => kept.some((k) => k.build === b.build)).map((b) => ({ ...b, kept: true }));
  }
}

