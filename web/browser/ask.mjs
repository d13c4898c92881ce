// What tests ask of a desk without a page.
import assert from "node:assert/strict";

export async function sent(method, address, body, type = "application/json") {
  const answer = await fetch(address, { method, body, headers: { "X-Endpin": "1", "Content-Type": type } });
  assert.ok(answer.ok, `${address}: ${answer.status} ${await answer.clone().text()}`);
  return answer.json();
}
export function posted(address, body, type) {
  return sent("POST", address, body, type);
}
export async function read(address) {
  return (await fetch(address)).json();
}
/// What is there once `holds` says so of it.
export async function until(address, holds) {
  for (let i = 0; i < 480; ++i) {
    const now = await read(address);
    if (holds(now)) return now;
    await new Promise((done) => setTimeout(done, 250));
  }
  throw new Error(`${address} did not come to its end in two minutes`);
}
