/// Days as the person who practises has them, not as Greenwich does: "2026-03-01".
export function dateOf(moment: Date): string {
  const two = (n: number) => String(n).padStart(2, "0");
  return `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
}

/// The last `n` days, the one of `now` at the end.
export function lastDays(n: number, now: Date): string[] {
  return Array.from({ length: n }, (_, i) =>
    dateOf(new Date(now.getFullYear(), now.getMonth(), now.getDate() - (n - 1 - i))),
  );
}
