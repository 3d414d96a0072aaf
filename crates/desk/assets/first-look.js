// What stands on the shelf of an empty folder: what this is, in one sentence, and tunes to try it with.

import { el, button } from "./dom.js";
import { post } from "./ask.js";
import { speak, trying } from "./say.js";

/** `came()` is called when the tunes are in. */
export function firstLook(/** @type {() => any} */ came) {
  const put = () => trying(async () => {
    const { ids } = await post("/api/demo");
    speak(`${ids.length} tunes are in your folder`);
    await came();
  });
  return el("section", { class: "first-look", "aria-label": "What Undersong is" },
    el("p", {}, "Undersong gives a tune that you bring a left hand for your harp: one that your harp and your hands can play, with the reason for every figure, to change, print, hear and practise."),
    el("p", { class: "row" }, button("Put in four tunes to try", put, { class: "main", "data-key": "demo" }), el("span", { class: "hint" }, "They are our own and free to use. Say under My harp and hands what you play on.")));
}
