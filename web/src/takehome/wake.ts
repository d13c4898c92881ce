/// Keeps the screen on while something plays or records, where the browser can. Call what it returns
/// when it may go dark again.
export function keepAwake(): () => void {
  let lock: WakeLockSentinel | undefined;
  let done = false;
  async function ask(): Promise<void> {
    if (done || document.hidden) return;
    lock = await navigator.wakeLock?.request("screen").catch(() => undefined);
    if (done) void lock?.release();
  }
  // A page that was hidden has lost its lock and must ask again (Screen Wake Lock API, section 7.1).
  const seen = () => void ask();
  document.addEventListener("visibilitychange", seen);
  void ask();
  return () => {
    done = true;
    document.removeEventListener("visibilitychange", seen);
    void lock?.release();
  };
}
