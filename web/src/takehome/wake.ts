/// Keeps the screen on while something plays or records, where the browser can. Call what it returns
/// when it may go dark again.
export function keepAwake(): () => void {
  let lock: WakeLockSentinel | undefined;
  let done = false;
  void navigator.wakeLock
    ?.request("screen")
    .then((given) => {
      if (done) void given.release();
      else lock = given;
    })
    .catch(() => undefined);
  return () => {
    done = true;
    void lock?.release();
  };
}
