using BoutDesk.BoutOrders;

// Writes the computed orders of bouts. From the root of the repository:
//   dotnet run -c Release --project tests/BoutDesk.BoutOrders -- src/BoutDesk.Domain/Pools/ComputedBoutOrders.cs
// It takes about half an hour on one core and always writes the same file.
if (args is not [var path])
{
    Console.Error.WriteLine("Give the file to write: src/BoutDesk.Domain/Pools/ComputedBoutOrders.cs");
    return 2;
}
File.WriteAllText(path, ComputedOrdersFile.Write(Console.Error));
return 0;
