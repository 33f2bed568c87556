// Numbers that a step wants: a button for each, then one keypad screen for each field, then one event.

import * as clock from "./clock.js";
import { READ_WITHIN, answerOf, fits } from "./course.js";
import { toggle } from "./frame.js";
import { h } from "./h.js";
import { keypad, yesNo } from "./keypad.js";
import { amount, say, told } from "./say.js";

export function formButtons(app, state, forms) {
  return forms.map((form) => {
    if (form.choices) return choices(app, state, form);
    const answer = fresh(form, answerOf(state, form));
    const words = say(`form_${form.say}`, { name: told(form.about).text || form.name });
    const value = answer === null ? "" : valueWords(app, form, answer);
    const wrong = answer !== null && !fits(form, answer);
    return h("button", {
      type: "button", class: `ask${answer === null ? "" : wrong ? " off" : " has"}`, "data-key": `form-${form.id}`,
      onclick: (event) => (form.fields.length ? asked(app, form)
        : app.press(`form-${form.id}`, event, () => app.tell([[form.kind, form.data]]))),
    }, h("span", {}, value ? words.replace("…", "") : words), value ? h("b", {}, value) : "");
  });
}

// A room is read anew after four hours; everything else stays as it was read.
function fresh(form, answer) {
  const old = form.id === "climate" && answer !== null && clock.now() - Date.parse(answer.at) > READ_WITHIN;
  return old ? null : answer;
}

function valueWords(app, form, answer) {
  return form.fields.map((f) => (answer[f.name] === undefined || answer[f.name] === null
    ? "" : amount(f.quantity, answer[f.name], f.digits, app.build.ambient))).filter(Boolean).join(", ") || "\u2713";
}

// Ask for the fields one after the other, then say what was read.
export function asked(app, form, finished = (data) => app.tell([[form.kind, data]]), values = {}) {
  const field = form.fields.find((f) => !(f.name in values));
  if (field === undefined) {
    app.close();
    app.press(`form-${form.id}`, null, () => finished({ ...cleaned(form.data), ...values }));
    return;
  }
  const name = form.fields.length > 1 || form.say !== field.say ? say(`field_${field.say}`) : "";
  const head = say(`form_${form.say}`, { name: told(form.about).text || form.name }).replace("…", "");
  const title = form.fields.length > 1 ? `${head}: ${name}` : head;
  const given = (si) => asked(app, form, finished, { ...values, [field.name]: si });
  const left = () => app.close();
  app.open(field.quantity === "passed" ? yesNo({ title, taken: given, left })
    : keypad({ title, field, ambient: app.build.ambient, taken: given, left }));
}

const cleaned = ({ limit, ...data }) => Object.fromEntries(Object.entries(data).filter(([, v]) => v !== null));

function choices(app, state, form) {
  const chosen = chosenOf(app, state, form);
  return form.choices.map(({ name }) => toggle(`choice-${name}`, name, chosen.includes(name), () => {
    const others = chosenOf(app, app.state(), form).filter((other) => other !== name);
    app.keepDraft(`choice/${form.id}`, { chosen: chosen.includes(name) ? others : [...others, name] });
  }));
}

export function chosenOf(app, state, form) {
  return app.draft(`choice/${form.id}`).chosen ?? answerOf(state, form)?.items ?? [];
}
