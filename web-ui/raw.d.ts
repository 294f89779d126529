/** Text of a file, put into the pages when they are built. */
declare module '*?raw' {
  const text: string;
  export default text;
}
