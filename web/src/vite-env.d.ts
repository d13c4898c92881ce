/// <reference types="vite/client" />

declare module "*.ts?source" {
  const source: string;
  export default source;
}
declare module "*?worker&url" {
  const address: string;
  export default address;
}
