/// Which place of the desk is open: `#/pieces/3/bars/11` is ["pieces", "3", "bars", "11"]. The
/// browser's back button and a copied address work.
let path = $state<readonly string[]>(parse());

window.addEventListener("hashchange", () => {
  path = parse();
  scrollTo(0, 0);
});

function parse(): string[] {
  return location.hash
    .replace(/^#\/?/, "")
    .split("/")
    .filter((word) => word !== "")
    .map(decodeURIComponent);
}

export function route(): readonly string[] {
  return path;
}

export function go(...words: (string | number)[]): void {
  location.hash = `#/${words.map((word) => encodeURIComponent(word)).join("/")}`;
}

export function link(...words: (string | number)[]): string {
  return `#/${words.map((word) => encodeURIComponent(word)).join("/")}`;
}
