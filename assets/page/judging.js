// A student's numbers beside the bench's own: the rules of `class_work/predict.py`.

import { significant } from "./values.js";
import { say } from "./words.js";

/** By how much a number differs from another, as a table shows it: the share of the other's size
 * by which its own is greater, its sign apart. @param {number} share @returns {string} */
export function shownDifference(share) {
  if (share < -1) return say("wrong sign");
  if (share >= 9) return say("{times} times", { times: significant(1 + share) });
  const percent = Math.abs(100 * share).toFixed(1);
  return `${Number(percent) === 0 ? "" : share > 0 ? "+" : "−"}${percent} %`;
}
