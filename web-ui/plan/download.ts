/** Gives the person a file. */
export function download(text: string, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type: 'application/yaml' }));
  link.download = name;
  link.click();
  URL.revokeObjectURL(link.href);
}
