/// Brings a note of the engraved part into view.
export function scrollToNote(index: number | undefined): void {
  document.querySelector(`[data-note="${index}"]`)?.scrollIntoView({ block: "center" });
}
