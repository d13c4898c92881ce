/// What happens in the book while the page is open: the server's event stream, told to whoever
/// listens. Nothing is sent again after a break, so `again` asks listeners to read anew.
export type Happening =
  | { what: "take"; id: number; state: string; progress?: number }
  | { what: "piece"; id: number; engraving: string }
  | { what: "lesson"; id: number; state: string }
  | { what: "set"; id: number; state: string; doing: string }
  | { what: "again" };

type Listener = (happening: Happening) => void;
const listeners = new Set<Listener>();
let source: EventSource | undefined;

/// Calls `listener` for everything that happens, until the returned function is called.
export function listen(listener: Listener): () => void {
  listeners.add(listener);
  source ??= open();
  return () => void listeners.delete(listener);
}

function open(): EventSource {
  const stream = new EventSource("/api/events");
  stream.addEventListener("open", () => tell({ what: "again" }));
  for (const what of ["take", "piece", "lesson", "set"] as const) {
    stream.addEventListener(what, (event: MessageEvent<string>) => {
      tell({ what, ...(JSON.parse(event.data) as object) } as Happening);
    });
  }
  return stream;
}

function tell(happening: Happening): void {
  for (const listener of [...listeners]) listener(happening);
}
