import type { Attachment } from "svelte/attachments";

/// The foot of a page lies over it: what is focused or shown is scrolled clear of it, however tall it is.
export const foot: Attachment = (element) => {
  const { style } = document.documentElement;
  const clear = () => (style.scrollPaddingBlock = `1rem calc(${element.getBoundingClientRect().height}px + 1rem)`);
  const watcher = new ResizeObserver(clear);
  watcher.observe(element);
  return () => {
    watcher.disconnect();
    style.scrollPaddingBlock = "";
  };
};
