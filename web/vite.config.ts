import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig, type ViteUserConfig } from "vitest/config";
import { oneFontFormat, scriptSource, singleFile } from "./vite.single";

const plugins = [svelte(), oneFontFormat(), scriptSource()];
const test = { include: ["tests/**/*.test.ts"], environment: "node" };

/// A page in one file, that a program fills in: `pages/NAME.html` becomes `dist-NAME/NAME.html`.
function single(name: string): ViteUserConfig {
  return {
    plugins: [...plugins, singleFile()],
    root: "pages",
    publicDir: false,
    build: {
      target: "es2021",
      outDir: `../dist-${name}`,
      emptyOutDir: true,
      assetsInlineLimit: 1 << 20,
      cssCodeSplit: false,
      modulePreload: { polyfill: false },
      rollupOptions: { input: `pages/${name}.html`, output: { inlineDynamicImports: true } },
    },
  };
}

/// The desk's page: a folder of files that the server gives out as they are. No inline script or
/// style, so that a strict content security policy holds.
const desk: ViteUserConfig = {
  plugins,
  // Vitest starts a server; a bare machine has no name for its own loopback.
  server: { host: "127.0.0.1" },
  build: { target: "es2021", outDir: "dist", assetsInlineLimit: 0, modulePreload: { polyfill: false } },
  test,
};

export default defineConfig(({ mode }) =>
  mode === "report" || mode === "take-home" ? single(mode) : desk,
);
