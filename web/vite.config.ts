import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig } from "vitest/config";

// The desk's page: a folder of files that the server gives out as they are. No inline script or
// style, so that a strict content security policy holds.
export default defineConfig({
  plugins: [svelte()],
  build: {
    target: "es2021",
    outDir: "dist",
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
  test: { include: ["tests/**/*.test.ts"], environment: "node" },
});
